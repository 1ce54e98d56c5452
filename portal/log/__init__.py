"""The question-and-disposition log: one file per event, appended, never changed; read, ordered, folded, verified."""

from portal.log.append import append
from portal.log.fold import fold
from portal.log.read import Log, parts_with_log, read
from portal.log.verify import verify

__all__ = ["Log", "append", "fold", "parts_with_log", "read", "verify"]
