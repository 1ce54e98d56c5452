"""Judging: which criterion applies, how a value stands to its limits, what a finding, a cavity, a trial comes to."""
