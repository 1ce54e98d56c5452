"""One module per command; each gathers everything first and writes afterwards."""
