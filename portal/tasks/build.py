"""`portal build`: the whole program in order, from a folder to a site."""

import time
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from portal import __version__, resources
from portal.model.slug import slug
from portal.model.terms import SHOP
from portal.pause import collection_of_new, no_collection
from portal.tasks import manifest as manifests
from portal.tasks.alone import alone_in
from portal.tasks.inputs import NO_STAMP, program_stamps, stamp_of, stamps
from portal.tasks.manifest import Manifest

if TYPE_CHECKING:
    from portal.tasks.gather import Told


@dataclass(frozen=True)
class Built:
    """What a build came to."""

    out: Path
    exit_code: int
    said: str
    changed: int = 0
    nothing_changed: bool = False


def build(
    folder: Path,
    *,
    out: Path | None,
    as_of: date,
    processes: int,
    told: "Told | None" = None,
    audience: str = SHOP,
) -> Built:
    """Make the site of a catalogue folder for the shop or one customer, or find that nothing changed."""
    out = out or folder / "site" / slug(audience)
    options = {"audience": audience, "as_of": as_of.isoformat(), "version": __version__}
    inputs = {**stamps(folder), **program_stamps(Path(__file__).parent.parent, resources.templates())}
    left = stamp_of(out / manifests.NAME)
    known = manifests.load(out)
    # A customer's manifest doesn't keep what is wrong, which may name others: then it is found out anew.
    is_same = known and not manifests.is_unfinished(out) and manifests.nothing_changed(known, options, inputs)
    if known and is_same and (known.said or not known.exit_code):
        return Built(out, known.exit_code, known.said, nothing_changed=True)
    fresh = Manifest(audience=audience, options=options, started_ns=time.time_ns(), inputs=inputs)
    with no_collection(), alone_in(out):
        if stamp_of(out / manifests.NAME) != left:  # another build ended meanwhile
            known = manifests.load(out)
        return _build_anew(folder, out, as_of=as_of, known=known, fresh=fresh, processes=processes, told=told)


def _build_anew(
    folder: Path,
    out: Path,
    *,
    as_of: date,
    known: Manifest | None,
    fresh: Manifest,
    processes: int,
    told: "Told | None",
) -> Built:
    from portal.pictures.jobs import derive_soon
    from portal.site.leaf import coming
    from portal.tasks import drawn
    from portal.tasks.audience import pages_for, refuse_pictures, rules_of
    from portal.tasks.check import problems_of
    from portal.tasks.gather import facts_to_data, gather
    from portal.tasks.handed import handed_over, site_input
    from portal.tasks.pagekeys import PageKeys
    from portal.tasks.pages import derive_wanted
    from portal.tasks.publish import ASSETS, Writer, open_site
    from portal.tasks.recorded import recorded
    from portal.tasks.still import Still
    from portal.tasks.unsure import unsure
    from portal.tasks.wants import ClusterWants

    open_site(out, known, fresh.audience)
    if known and manifests.any_picture_changed(known, fresh.inputs):
        derive_soon()  # before what takes as long: reading, judging
    gathered = gather(folder, known=known, processes=processes, told=told, found=fresh.inputs)
    record = recorded(gathered, known=known, processes=processes, told=told)
    problems = (*problems_of(gathered), *record.problems)
    handed = handed_over(gathered, fresh.audience)
    theirs = record.handed_over(handed, fresh.audience)
    site = site_input(handed, problems=problems, audience=fresh.audience, as_of=as_of, recorded=theirs)
    refuse_pictures(gathered, site)
    rules = rules_of(gathered, site)
    left, keys = drawn.load(out, site.facts), PageKeys(site, written=gathered.reading.digests, rules=rules)
    still, wants = Still(out, left, keys), ClusterWants(keys.wants(), left.wants)
    writer = Writer(out, known, coming=coming(site), left=left)
    assets = out / ASSETS
    make = partial(
        derive_wanted, site, folder, assets, known=known, wants=wants, processes=processes, told=told,
        sizes=still.sizes, aside=writer.halves,
    )  # fmt: skip
    derived = make(skip=still.parts)
    if still.take_in(derived):
        derived = make()
        still.take_in(derived)
    writer.keep(*(f"{ASSETS}/{name}" for name in (*derived.names(), *still.assets)))
    with collection_of_new():  # pages leave rubbish, what they are made from stays
        for page in pages_for(gathered, site, derived, refused=writer.withdraw, reuse=still, aside=writer.halves):
            still.note(page)
            writer.write(page)
    writer.keep(*still.pages)
    writer.publish()
    for file in unsure(problems, gathered.facts, record.facts, derived.unreadable, derived.unplayable):
        fresh.inputs.pop(file, None)
    wrong = [problem for problem in (*problems, *derived.problems()) if not problem.warning]
    fresh.outputs = sorted(writer.written)
    fresh.exit_code = 1 if wrong else 0
    fresh.said = "\n".join(str(problem) for problem in sorted(wrong, key=lambda each: each.order))
    still.save()
    facts = (
        (fresh.named(file, fresh.inputs.get(file, NO_STAMP)), facts_to_data(each))
        for file, each in (*gathered.facts.items(), *record.facts.items())
        if fresh.audience == SHOP or file in site.facts
    )
    manifests.save(
        out,
        fresh if fresh.audience == SHOP else manifests.only(fresh, site.facts),
        facts=facts,
        derived=chain(still.known_pictures(known), derived.to_data()),
    )
    writer.prune()
    return Built(out, fresh.exit_code, fresh.said, changed=writer.changed)
