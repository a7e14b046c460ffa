"""The commands: thin, each in its own module, loaded only when asked for."""
