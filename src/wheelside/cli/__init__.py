"""The command line: one file a command. Each parses, calls a job, and prints."""
