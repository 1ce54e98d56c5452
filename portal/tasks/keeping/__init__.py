"""How a limit sample is made from a finding."""
