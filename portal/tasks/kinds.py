"""What kind of ask fits findings: the answers follow the verdict."""

from collections.abc import Sequence

from portal.model.answer import AskKind
from portal.model.result import Assessment, Verdict
from portal.model.terms import VerdictWord
from portal.problem import PortalError
from portal.tasks.opened import one_of


def kind_of(verdict: Verdict) -> AskKind:
    """The kind whose answers fit a verdict; words where the customer has nothing to judge."""
    if verdict.word is VerdictWord.DOES_NOT_CONFORM:
        return AskKind.DOES_NOT_CONFORM
    if verdict.word is VerdictWord.UNDECIDED:
        return AskKind.UNDECIDED
    return AskKind.NOT_AGREED if verdict.key == "verdict.not-agreed" else AskKind.QUESTION


def fitting(wanted: str | None, assessed: Sequence[Assessment]) -> AskKind:
    """The kind that was asked for, if its answers fit every finding; else the one that fits them all."""
    kind = one_of(AskKind, wanted, "--kind") if wanted else None
    if kind is AskKind.QUESTION or not assessed:
        if kind not in (None, AskKind.QUESTION):
            raise PortalError(
                f"`{kind}` is about findings, and none is named", hint="add `--finding ID`, or leave out `--kind`"
            )
        return AskKind.QUESTION
    fit = {each.finding: kind_of(each.verdict) for each in assessed}
    if len(set(fit.values())) > 1:
        told = ", ".join(f"{each.finding} {each.verdict.word}" for each in assessed)
        hint = "one ask for each, or `--kind question` for an answer in words"
        raise PortalError(f"no one answer fits them all: {told}", hint=hint)
    only = next(iter(fit.values()))
    if kind not in (None, only):
        told = ", ".join(f"{each.finding} {each.verdict.word}" for each in assessed)
        hint = f"leave out `--kind` for `{only}`, or take `--kind question` for an answer in words"
        raise PortalError(f"the answers of `{kind}` don't fit the verdict: {told}", hint=hint)
    return only
