"""Who owes what since when, as sentences."""

from datetime import date

from portal.model.event import check_code
from portal.model.logstate import Owed, Owing
from portal.tasks.telling import listed

_VERBS = {
    Owing.SENDING: ("has to send the ask", ""),
    Owing.ANSWER: ("owes an answer", "owe an answer"),
    Owing.SECOND_NAME: ("owes a second name", "owe a second name"),
    Owing.EVIDENCE: ("owes more evidence", "owe more evidence"),
    Owing.REPLY: ("owes a reply", "owe a reply"),
    Owing.CONCESSION: ("owes what the concession lacks", "owe what the concession lacks"),
    Owing.CLOSING: ("has to have it settled which of two answers holds", ""),
    Owing.DISPOSITION: ("has to say what becomes of it, after a no", ""),
    Owing.CONFIRMATION: ("owes a confirmation in writing", ""),
    Owing.CRITERION: ("has to enter the agreed limit as a criterion", ""),
    Owing.KEEPING: ("has to keep the piece", ""),
    Owing.READING: ("has to read what is unclear", ""),
    Owing.ASKING: ("has to ask again what changed since it was decided", ""),
}


def who_owes(owed: Owed) -> str:
    """Names, where there are some; else the side."""
    return listed(owed.who) if owed.who else f"the {owed.side}"


def owing(owed: Owed, *, since: str, today: date) -> str:
    """One thing that is owed, as a sentence; `since` is the day as it is written."""
    one, several = _VERBS[owed.what]
    verb = several if len(owed.who) > 1 and several else one
    about = f" about {listed(owed.findings)}" if owed.findings else ""
    trial = f" of {owed.trial}" if owed.trial else ""
    text = f": {owed.text}" if owed.text else ""
    return f"{who_owes(owed)} {verb}{about}{trial} since {since}{_due(owed, today)}{text} [{_named(owed)}]"


def _named(owed: Owed) -> str:
    """What commands take for it."""
    if owed.duty is not None:
        return owed.duty.place
    return f"ask {check_code(owed.ask)}" if owed.ask else f"event {check_code(owed.event)}"


def _due(owed: Owed, today: date) -> str:
    if owed.due is None:
        return ""
    return f", was due {owed.due}" if owed.due < today.isoformat() else f", due {owed.due}"
