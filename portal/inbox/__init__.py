"""What comes back from a customer, read from the file it came as: a mail, a pasted text, an answer file."""
