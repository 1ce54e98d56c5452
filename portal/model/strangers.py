"""The words of other customers, which a customer's site must not hold."""

from collections.abc import Collection, Iterator

from portal.model.catalogue import Catalogue
from portal.model.finder import Stranger, chunks, folded
from portal.model.standard import DefectClass
from portal.model.terms import SHOP

SHORTEST = 4
"""Shorter words aren't looked for; they stand by chance in any text."""
_OF_MANY = (
    "gmbh limited company corporation corp incorporated group holding sarl kgaa ltda brothers sons "
    "components devices dynamics electronics engineering enterprises industries industrial instruments "
    "international laboratories labs manufacturing mechanics medical optics partners parts plastics "
    "polymers precision products services small solutions supply systems technic technik technologies "
    "technology tools works care central deutsche design european first general global health home life "
    "national north quality science sciences service smart south team united west world"
)
"""Words of many companies' names; by themselves they say nothing of who it is."""


def strangers(catalogue: Catalogue, customer: str, *, common: Collection[str] = ()) -> tuple[Stranger, ...]:
    """Names, people, part numbers and folders of all other customers, minus words that are also this customer's.

    Of a name each word is looked for by itself too, unless it is among the `common` ones of any page or the
    catalogue's terms of the trade.
    """
    common = {*common, *(word for each in catalogue.defects.values() for word in _of_terms(each))}
    own = {chunks(each.text) for each in _owned(catalogue, {customer}, common=())} | _of_shop(catalogue)
    others = {id_ for id_ in catalogue.customers if id_ != customer}
    others |= {part.customer for part in catalogue.parts.values() if part.customer != customer}
    found: dict[tuple[str, ...], Stranger] = {}
    for each in (*_owned(catalogue, others, common=common), *_of_agreements(catalogue, others, common)):
        words = chunks(each.text)
        if words and words not in own and len(folded(each.text)) >= SHORTEST:
            found.setdefault(words, each)
    return tuple(found.values())


def _owned(catalogue: Catalogue, whose: Collection[str], *, common: Collection[str]) -> Iterator[Stranger]:
    """Names, people, numbers and folders of these customers."""
    for id_ in sorted(whose):
        yield from _of_customer(catalogue, id_, common)
    for part in catalogue.parts.values():
        if part.customer in whose:
            said = f"of customer `{part.customer}`"
            yield Stranger(part.id, f"a part {said}", part.file)
            yield Stranger(part.numbers.shop, f"a part number {said}", part.file, ("numbers", "shop"))
            yield Stranger(part.numbers.customer, f"a part number {said}", part.file, ("numbers", "customer"))
            yield Stranger(part.drawing.number, f"a drawing {said}", part.file, ("drawing", "number"))
    yield from _of_folders(catalogue, whose)


def _of_customer(catalogue: Catalogue, id_: str, common: Collection[str]) -> Iterator[Stranger]:
    said = f"of customer `{id_}`"
    known = catalogue.customers.get(id_)
    file = known.file if known else f"customers/{id_}.yaml"
    yield Stranger(id_, f"the folder name {said}", file)
    if known is None:
        return
    yield from _name(known.name, f"a name {said}", file, ("name",), common)
    for index, name in enumerate(known.other_names):
        yield from _name(name, f"a name {said}", file, ("other_names", str(index)), common)
    for index, reviewer in enumerate(known.reviewers):
        at = ("reviewers", str(index))
        yield from _name(reviewer.name, f"a person {said}", file, (*at, "name"), common)
        if reviewer.mail:
            yield Stranger(reviewer.mail, f"a person {said}", file, (*at, "mail"))


def _name(text: str, what: str, file: str, field: tuple[str, ...], common: Collection[str]) -> Iterator[Stranger]:
    """A name, and each word of it that isn't a common one."""
    of_many = _OF_MANY.split()
    yield Stranger(text, what, file, field)
    for word in chunks(text):
        if len(word) >= SHORTEST and word not in common and word not in of_many and not word.isdigit():
            yield Stranger(word, what, file, field)


def _of_terms(defect: DefectClass) -> Iterator[str]:
    for terms in defect.terms.values():
        for term in terms:
            yield from chunks(term)


def _of_folders(catalogue: Catalogue, whose: Collection[str]) -> Iterator[Stranger]:
    """Moulds, limit samples and standards that only these customers have."""
    theirs = {part.id for part in catalogue.parts.values() if part.customer in whose}
    for mould in catalogue.moulds.values():
        makes = {cavity.part for cavity in mould.cavities.values()}
        if makes <= theirs:
            yield Stranger(mould.id, "a mould of another customer", mould.file)
            tool = mould.customer_tool_number
            yield Stranger(tool, "a tool of another customer", mould.file, ("customer_tool_number",))
    for sample in catalogue.limit_samples.values():
        if sample.part in theirs:
            yield Stranger(sample.id, "a limit sample of another customer", sample.file)
    for slug, revisions in catalogue.standards.items():
        for standard in revisions.values():
            if standard.owner in whose:
                yield Stranger(slug, f"a standard of customer `{standard.owner}`", standard.file)


def _of_agreements(catalogue: Catalogue, whose: Collection[str], common: Collection[str]) -> Iterator[Stranger]:
    """Who signed criteria and limit samples for these customers; a name doesn't become ours by signing."""
    listed = [each for revisions in catalogue.standards.values() for each in revisions.values()]
    written = [(each.file, each.criteria) for each in listed]
    written += [(each.file, each.criteria) for each in catalogue.parts.values()]
    for file, criteria in written:
        for index, criterion in enumerate(criteria):
            agreed = criterion.agreed
            if agreed and agreed.party != SHOP and agreed.party in whose:
                at = ("criteria", str(index), "agreed", "by")
                yield from _name(agreed.by, f"a person of customer `{agreed.party}`", file, at, common)
    for sample in catalogue.limit_samples.values():
        part = catalogue.parts.get(sample.part)
        if part and part.customer in whose:
            signed, said = sample.agreed.customer.by, f"a person of customer `{part.customer}`"
            yield from _name(signed, said, sample.file, ("agreed", "customer", "by"), common)


def _of_shop(catalogue: Catalogue) -> set[tuple[str, ...]]:
    """The shop's own name and its people are no secret of any customer."""
    names = [catalogue.shop.shop.name, *(each.name for each in catalogue.shop.people.values())]
    return {chunks(name) for name in names} | {(word,) for name in names for word in chunks(name)}
