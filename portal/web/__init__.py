"""What every local server shares: who may ask, what a file is, and nothing beyond an index of ours."""
