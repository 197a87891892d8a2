"""The command line: results to stdout, everything else to stderr, one error boundary."""
