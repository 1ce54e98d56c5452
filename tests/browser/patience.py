"""How long a test waits for a browser on a slow machine before it gives up."""

PATIENCE_MS = 120_000
