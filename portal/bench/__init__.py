"""The inspector's local web app: pictures are looked at, drawn on, measured while drawing, and judged at once."""
