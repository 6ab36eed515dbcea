"""The app: pages and an HTTP interface on this computer's own loopback address."""
