"""The command line: thin, one file for each command."""
