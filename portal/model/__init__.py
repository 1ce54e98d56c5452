"""The words of the trade as frozen typed records; no disk, no YAML, no pixels."""
