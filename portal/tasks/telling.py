"""What each event of a log says, as a sentence about the one who made it."""

from collections.abc import Iterable

from portal.model import says as said
from portal.model.answer import AgreedLimit, Bound, Concession, Given
from portal.model.event import About, Logged, check_code


def tell(logged: Logged) -> str:
    """What an event says, to be read behind the name of the one who made it."""
    event, about = logged.event, logged.event.about
    match event.says:
        case said.QuestionAsked() as ask:
            return _asked(ask, about)
        case said.ReviewSent() as sent:
            to = listed(each.name for each in sent.to) or "nobody"
            asks = counted(len(sent.asks), "ask")
            return f"sent review {sent.number} ({check_code(sent.digest)}) with {asks} to {to}"
        case said.AnswersReceived() as came:
            return _received(came, about)
        case said.DecisionRecorded() as recorded:
            return _recorded(recorded)
        case said.TrialReleased() as released:
            return _released(released, about)
        case said.QuestionAnswered() as reply:
            of = f" as to {listed(each.name for each in reply.only)}" if reply.only else ""
            return f"replied to {_hash(about.event)}{of}: {reply.words}{_with_files(reply.evidence)}"
        case said.DispositionGiven() as given:
            why = f" ({given.why})" if given.why else ""
            return f"decided {given.disposition} for {_bound(given.findings)}{why}"
        case said.CommentMade() as comment:
            return f"noted {_for(comment.audience)}on {_subject(about)}: {comment.comment}"
        case said.MatterClosed() as closing:
            return _closed(closing)
        case _:
            return _told_of_records(event.says, about) or _unknown(logged)


def _told_of_records(says: said.Says, about: About) -> str | None:
    """What was withdrawn, changed, corrected, and limit samples."""
    match says:
        case said.ReviewWithdrawn(why=why):
            return f"withdrew review {_hash(about.review)}: {why}"
        case said.FindingChanged() as change:
            return f"changed {about.finding}: {change.what} ({change.why})"
        case said.FindingWithdrawn(why=why):
            return f"withdrew finding {about.finding}: {why}"
        case said.EventCorrected() as correction:
            instead = f"; {_hash(correction.instead)} says it rightly" if correction.instead else ""
            return f"took back {_hash(about.event)}: {correction.why}{_as_told(correction)}{instead}"
        case said.LimitSampleApproved() as approved:
            names = listed([approved.agreed_shop.name, approved.agreed_customer.name])
            return f"entered limit sample {approved.sample} ({approved.side}), agreed by {names}"
        case said.LimitSampleEnded() as ended:
            after = f"; {ended.replaced_by} takes its place" if ended.replaced_by else ""
            return f"ended limit sample {ended.sample}: {ended.why}{after}"
        case _:
            return None


def _as_told(correction: said.EventCorrected) -> str:
    """Who of the customer said that an answer isn't theirs."""
    if correction.said_by is None:
        return ""
    came = ", ".join(each for each in (correction.how, correction.when) if each)
    return f"; said by {correction.said_by.name} ({came}){_with_files(correction.evidence)}"


def counted(number: int, noun: str) -> str:
    """`1 ask`, `3 asks`."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def listed(names: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    *first, last = tuple(names) or ("",)
    return f"{', '.join(first)} and {last}" if first else last


def given_text(given: Given) -> str:
    """An answer as it was given: its letter, what it covers, what it adds."""
    parts = [
        str(given.letter) if given.letter else "in words",
        f"for {_bound(given.findings)}" if given.findings else "",
        f"not for {listed(given.left_out)}" if given.left_out else "",
        given.words or "",
        given.question or "",
        f"wanted: {', '.join(given.evidence)}" if given.evidence else "",
        _concession(given.concession) if given.concession else "",
        _limit(given.limit) if given.limit else "",
        f"looked at {given.looked_at}" if given.looked_at else "",
        *(f"keep {each.finding} as {each.side}" for each in given.keep),
        given.comment or "",
    ]
    return ", ".join(each for each in parts if each)


def _limit(limit: AgreedLimit) -> str:
    """The limit, under which condition, how far it reaches."""
    condition = f"condition {limit.condition}" if limit.condition else ""
    return ", ".join(each for each in (f"limit {limit.limit}", condition, limit.holds or "") if each)


def _asked(ask: said.QuestionAsked, about: About) -> str:
    findings = f"{_bound(ask.findings)}" if ask.findings else _subject(about)
    due = f", due {ask.due}" if ask.due else ""
    follows = f", taking up {_hash(ask.follows)}" if ask.follows else ""
    return f"asked {listed(ask.owed_by) or 'the customer'} about {findings}{due}{follows}: {ask.question}"


def _received(came: said.AnswersReceived, about: About) -> str:
    taken = f" (taken for {came.accepted_as})" if came.accepted_as else ""
    told = [
        *(f"{each.number or _hash(each.ask)} {given_text(each)}" for each in came.answers),
        *(f"a question: {each.question}" for each in came.questions),
        *(f"unclear: {each.text} ({each.reason})" for each in came.unclear),
    ]
    return f"took in an answer of {came.answered_by.name}{taken} to review {_hash(about.review)}: {'; '.join(told)}"


def _recorded(recorded: said.DecisionRecorded) -> str:
    came = f"{recorded.decided_by.name} ({recorded.how}, {recorded.when})"
    files = _with_files(recorded.evidence)
    if recorded.confirms:
        return f"confirmed {_hash(recorded.confirms)}, decided by {came}{files}"
    given = recorded.decision
    to = f" to ask {_hash(given.ask)}" if given and given.ask else ""
    open_ = "" if recorded.evidence else "; not confirmed in writing when it was recorded"
    return f"recorded for {came}{to}: {given_text(given) if given else 'nothing'}{files}{open_}"


def _released(released: said.TrialReleased, about: About) -> str:
    how = f"{released.how}, " if released.how else ""
    came = f"granted by {released.granted_by.name} ({how}{released.when})"
    conditions = f", on condition: {released.conditions}" if released.conditions else ""
    return f"released {about.trial} for {released.released_for}, {came}{conditions}{_with_files(released.evidence)}"


def _closed(closing: said.MatterClosed) -> str:
    holds = f"; {_hash(closing.holds)} holds" if closing.holds else ""
    settled = f", settled by {closing.settled_by.name}" if closing.settled_by else ""
    singly = {each.event for each in closing.only}
    closes = (*(_hash(each) for each in closing.closes if each not in singly), *(each.place for each in closing.only))
    return f"closed {listed(closes)}{holds}{settled}: {closing.why}"


def _unknown(logged: Logged) -> str:
    says = logged.event.says
    plain = says.plain() if isinstance(says, said.Unknown) else {}
    return f"wrote something that this version doesn't know (`{logged.event.kind}`): {plain}"


def _concession(concession: Concession) -> str:
    return ", ".join(f"{name} {value}" for name, value in concession.given().items())


def _with_files(files: Iterable[said.KeptFile]) -> str:
    names = listed(each.name or each.file for each in files)
    return f"; evidence {names}" if names else ""


def _bound(findings: Iterable[Bound]) -> str:
    return listed(each.finding for each in findings)


def _for(audience: said.Audience) -> str:
    return "for the shop only " if audience is said.Audience.SHOP else "for all "


def _subject(about: About) -> str:
    spot = f"{about.picture} at {about.spot}" if about.spot else about.picture
    review = f"review {_hash(about.review)}" if about.review else None
    event = f"event {_hash(about.event)}" if about.event else None
    return about.finding or spot or event or review or about.trial or "the part"


def _hash(hash_: str | None) -> str:
    return check_code(hash_) if hash_ else "?"
