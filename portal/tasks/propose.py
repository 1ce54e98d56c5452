"""`portal ask --proposed`: all that the verdicts of a trial propose, in the words that the customer's pages have."""

from dataclasses import dataclass

from portal.assess.trial import asks_without
from portal.model.answer import AskKind
from portal.model.event import About, Logged
from portal.model.result import Ask
from portal.model.says import QuestionAsked
from portal.model.shop import Unit
from portal.problem import PortalError
from portal.site.words import Speaker, speaks
from portal.tasks.ask import Wanted, terms
from portal.tasks.opened import Opened, trial_name


@dataclass(frozen=True)
class Proposed:
    """What was recorded of what the verdicts propose, and which findings were left out, each with why."""

    asked: tuple[Logged, ...]
    left_out: dict[str, str]


def ask_proposed(opened: Opened, wanted: Wanted) -> Proposed:
    """Record every ask that the verdicts of a trial propose, but of what is asked, decided or withdrawn already."""
    if wanted.trial is None or wanted.question or wanted.findings or wanted.picture or wanted.kind or wanted.follows:
        hint = "as in `portal ask --part P --proposed --trial MOULD/T`"
        raise PortalError("`--proposed` takes a `--trial`, and nothing that says what is asked", hint=hint, code=2)
    result = opened.trial(wanted.trial)
    agreed = terms(opened, wanted)
    speaker = _speaker(opened)
    left_out = {
        each.finding: why for each in result.assessments if (why := opened.why_not_again(each.finding)) is not None
    }
    asks = asks_without(result, opened.gathered.catalogue, findings=left_out)
    asked = [opened.write(_proposed(opened, each, speaker, agreed), About(trial=trial_name(result))) for each in asks]
    proposed = {finding for each in result.asks for finding in each.findings}
    return Proposed(tuple(asked), {finding: why for finding, why in left_out.items() if finding in proposed})


def _proposed(opened: Opened, proposal: Ask, speaker: Speaker, agreed: dict[str, object]) -> QuestionAsked:
    kind = AskKind(proposal.key)
    return QuestionAsked(
        asks=kind,
        question=speaker.say(proposal.question),
        offers=kind.offers,
        findings=opened.bound(proposal.findings),
        cavities=proposal.cavities,
        **agreed,
    )


def _speaker(opened: Opened) -> Speaker:
    """Speaks the customer's language and unit, as their pages do."""
    customer = opened.customer()
    language = str(customer.language) if speaks(str(customer.language)) else "en"
    unit = "in" if customer.unit is Unit.INCH else "mm"
    return Speaker(language, unit, lambda defect: opened.gathered.catalogue.term(defect, language))
