"""Four posts: loops served on swinging arms."""
