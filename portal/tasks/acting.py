"""Who acts for the shop, and which of the customer's reviewers may decide what."""

from portal.model.answer import AskKind
from portal.model.says import Party
from portal.model.shop import Customer, May, Reviewer, Role, Shop
from portal.model.terms import Answer
from portal.problem import PortalError, did_you_mean

_NEEDED = {
    Answer.INSIDE: (May.ACCEPT,),
    Answer.OUTSIDE: (May.ACCEPT,),
    Answer.CONCESSION: (May.CONCESSION,),
}
_NEEDED_FOR_LIMIT = {Answer.INSIDE: (May.AGREE_LIMIT,), Answer.OUTSIDE: (May.AGREE_LIMIT, May.ACCEPT)}


def party(shop: Shop, by: str | None, *, to: str, engineer: bool = True) -> Party:
    """The person of the shop who acts, refused where that takes an engineer; `to` says what is done."""
    if not by:
        hint = f"add `--by NAME`, or set PORTAL_BY; known: {_listed(shop)}"
        raise PortalError(f"nobody is named who would {to}", hint=hint, code=2)
    person = shop.people.get(by)
    if person is None:
        hint = did_you_mean(by, shop.people) or f"known: {_listed(shop)}"
        raise PortalError(f"`{by}` is not among `people` in catalog.yaml", hint=hint, code=2)
    if engineer and Role.ENGINEER not in person.roles:
        can = [f"`{key}`" for key, each in shop.people.items() if Role.ENGINEER in each.roles]
        hint = f"let one of these do it: {', '.join(can)}" if can else "give somebody that role in catalog.yaml"
        raise PortalError(f"{person.name} is no project engineer, and only one may {to}", hint=hint)
    acts_as = Role.ENGINEER if Role.ENGINEER in person.roles else Role.INSPECTOR
    return Party(name=person.name, role=str(acts_as), organisation=shop.shop.name, id=by)


def reviewer(customer: Customer, name: str) -> Reviewer:
    """One of the customer's reviewers by name."""
    for each in customer.reviewers:
        if each.name.casefold() == name.strip().casefold():
            return each
    hint = did_you_mean(name, [each.name for each in customer.reviewers])
    raise PortalError(f"{name} is no reviewer of {customer.name}", hint=hint or f"name them in {customer.file}")


def as_party(each: Reviewer, customer: Customer) -> Party:
    """A reviewer as the log names them."""
    return Party(name=each.name, role=each.role, organisation=customer.name)


def needed_for(letter: Answer | None, kind: AskKind) -> tuple[May, ...]:
    """What a reviewer must be let do to give such an answer, one of these; nothing for what any of them may give."""
    table = _NEEDED_FOR_LIMIT if kind is AskKind.NOT_AGREED else _NEEDED
    return table.get(letter, ()) if letter else ()


def has_authority(customer: Customer, name: str, *, letter: Answer | None, kind: AskKind) -> bool:
    """Whether the customer lets that reviewer give such an answer; whom the record doesn't name was taken for one."""
    needed = needed_for(letter, kind)
    known = [each for each in customer.reviewers if each.name.casefold() == name.casefold()]
    return not known or not needed or bool(set(needed) & set(known[0].may))


def refuse_without_authority(each: Reviewer, customer: Customer, *, letter: Answer | None, kind: AskKind) -> None:
    """Stop where the customer doesn't let this reviewer give such an answer."""
    if not has_authority(customer, each.name, letter=letter, kind=kind):
        refuse_one(each, customer, needed_for(letter, kind), what=f"answer {letter} to {_article(kind)} ask")


def refuse_without(each: Reviewer, customer: Customer, *, may: May, what: str) -> None:
    """Stop where the customer doesn't let this reviewer do that."""
    if may not in each.may:
        refuse_one(each, customer, (may,), what=what)


def refuse_one(each: Reviewer, customer: Customer, needed: tuple[May, ...], *, what: str) -> None:
    """Say that this reviewer may not, and who may."""
    others = [one.name for one in customer.reviewers if set(needed) & set(one.may)]
    who = f"ask one who may: {', '.join(others)}" if others else f"nobody in {customer.file} has that under `may`"
    names = " or ".join(f"`{each}`" for each in needed)
    raise PortalError(f"{each.name} may not {what}: {names} isn't among what {customer.name} lets them do", hint=who)


def _article(kind: AskKind) -> str:
    return f"an `{kind}`" if kind is AskKind.UNDECIDED else f"a `{kind}`"


def _listed(shop: Shop) -> str:
    return ", ".join(f"`{key}`" for key in shop.people)
