"""How a review is packed: frozen, stored, recorded as sent, and written as carriers."""
