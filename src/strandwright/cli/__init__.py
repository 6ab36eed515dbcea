"""The command line: one file a command, each loaded only when it is called."""
