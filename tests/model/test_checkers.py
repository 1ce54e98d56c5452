"""What checks a kind of record is made when it is first asked for, and for the bench's threads all at once."""

import subprocess
import sys

SAYS = """
from portal.model.base import Record, complete_checkers
from portal.model import tag, says
from portal.model.tag import Tag

def every(record):
    return [each for own in record.__subclasses__() for each in (own, *every(own))]

print(sum(each.__pydantic_complete__ for each in every(Record)) < len(every(Record)) / 10)
complete_checkers()
print(all(each.__pydantic_complete__ for each in every(Record)), len(every(Record)) > 30)
print(Tag.model_fields["file"].is_required())
"""


def test_checkers_are_made_late_or_all_at_once() -> None:
    """In a process of its own, since this one has made many."""
    told = subprocess.run([sys.executable, "-c", SAYS], capture_output=True, text=True, check=True).stdout
    assert told.split() == ["True"] * 4
