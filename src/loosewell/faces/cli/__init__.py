"""The command line: one command a job, the same words as the records."""
