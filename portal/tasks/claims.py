"""Who answered, as the answer says it, and which of a customer's reviewers that is. A typed name is a claim."""

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from portal.inbox.came import Came, Sender
from portal.model.catalogue import Catalogue
from portal.model.says import Party
from portal.model.shop import Customer, Reviewer


@dataclass(frozen=True, slots=True)
class Claim:
    """Who is said to have answered."""

    party: Party
    reviewer: Reviewer | None
    doubt: str = ""
    """Why no reviewer is taken for it; empty where one is."""


def claim_of(came: Came, named: str | None, customer: Customer, catalogue: Catalogue) -> Claim:
    """The claim of an answer; `named` is the name in a line of its text.

    The name in the answer file or in the text counts; whoever sent the mail must not be another reviewer, and where a
    reviewer's address is known it must have come from there.
    """
    party = _party(came, named)
    sender = _by_sender(customer, came.senders)
    if party is None:
        return Claim(Party(name="nobody"), None, "it names nobody who answered")
    typed = came.file is not None or named is not None
    reviewer = _by_name(customer, party.name) if typed else sender
    if isinstance(reviewer, str):
        return Claim(party, None, reviewer)
    if reviewer is None:
        return Claim(party, None, _stranger(party, came, customer, catalogue))
    if isinstance(sender, Reviewer) and sender != reviewer:
        return Claim(party, None, f"it names {reviewer.name} as who answered, and {sender.name} sent it")
    if doubt := _of_address(came.senders, reviewer):
        return Claim(party, None, doubt)
    return Claim(party, reviewer)


def same(text: str | None) -> str:
    """A name or an address as it is compared."""
    return " ".join(unicodedata.normalize("NFKC", text or "").casefold().split())


def _party(came: Came, named: str | None) -> Party | None:
    if came.file is not None:
        return Party.model_validate(came.file.answered_by.given())
    if named:
        return Party(name=named)
    names = [each.name or each.mail for each in came.senders]
    return Party(name=names[0]) if names and names[0] else None


def _by_name(customer: Customer, name: str) -> Reviewer | str | None:
    wanted = same(name)
    return _only([each for each in customer.reviewers if wanted and wanted in (same(each.name), same(each.mail))], name)


def _by_sender(customer: Customer, senders: Iterable[Sender]) -> Reviewer | str | None:
    for each in senders:
        by_mail = [one for one in customer.reviewers if one.mail and same(one.mail) == same(each.mail)]
        found = _only(by_mail, each.mail) if by_mail else _by_name(customer, each.name) if each.name else None
        if found is not None:
            return found
    return None


def _only(found: list[Reviewer], name: str) -> Reviewer | str | None:
    if len(found) > 1:
        return f"{name} is the name of more than one reviewer"
    return found[0] if found else None


def _stranger(party: Party, came: Came, customer: Customer, catalogue: Catalogue) -> str:
    for other in catalogue.customers.values():
        if other.id != customer.id and (_by_name(other, party.name) or _by_sender(other, came.senders)):
            return f"{party.name} is a reviewer of {other.name}, and this is for {customer.name}"
    return f"{party.name} is no reviewer of {customer.name}"


def _of_address(senders: tuple[Sender, ...], reviewer: Reviewer) -> str:
    """Why a name isn't enough: anyone can type it, and an answer that was taken in only the customer takes back."""
    address = senders[0].mail if senders else ""
    if reviewer.mail and address and same(address) != same(reviewer.mail):
        return f"it came from {address}, and {reviewer.name}'s address is {reviewer.mail}"
    return ""
