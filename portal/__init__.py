"""Agree on how a small moulded part may look: pictures at true scale, measured, judged, asked about."""

__version__ = "0.1.0"
