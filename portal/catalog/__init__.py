"""Reads a catalogue's folder: text first, every problem with its file and line."""

from portal.catalog.read import Reading, read

__all__ = ["Reading", "read"]
