"""Judging beside a limit sample: better, same, worse, cannot tell; no ± and no probability."""

from collections.abc import Iterator

from portal.judge.case import Case, Ruling, decided, not_judged
from portal.model.otherwise import agreed_otherwise
from portal.model.result import Verdict
from portal.model.sample import LimitSample, Side
from portal.model.say import Say, Several
from portal.model.terms import Compared, VerdictWord

_WORDS = {
    Compared.BETTER: VerdictWord.CONFORMS,
    Compared.SAME: VerdictWord.CONFORMS,
    Compared.WORSE: VerdictWord.DOES_NOT_CONFORM,
    Compared.CANNOT_TELL: VerdictWord.UNDECIDED,
}
_BESIDE_FIRST_BAD = _WORDS | {Compared.BETTER: VerdictWord.UNDECIDED, Compared.SAME: VerdictWord.DOES_NOT_CONFORM}
"""What is as bad as a piece that is bad is bad, and what is better than that need not be good yet."""
_OTHERWISE = {"condition": "verdict.sample.condition", "zone_class": "verdict.sample.zone-class"}


def judge(ruling: Ruling) -> Verdict:
    """The verdict that the inspector's comparison comes to, or why there is none."""
    case, names = ruling.case, ruling.criterion.sample_ids
    found = [case.samples[name] for name in names if name in case.samples]
    # The first that is named is what the finding has to be no worse than: without it the other tells something else.
    if not found or found[0].id != names[0]:
        why = _missing(names, case)
        return not_judged(Say.of("verdict.no-sample", why=why), why)
    samples = Several(tuple(sample.id for sample in found))
    if case.finding.compared is None:
        sentence = Say.of("verdict.not-compared", n=len(found), samples=samples)
        return not_judged(sentence, Say.of("reason.not-compared"))
    compared, alone = case.finding.compared, found[0].side is Side.FIRST_BAD
    word, stem = (_BESIDE_FIRST_BAD, "compared-first-bad.") if alone else (_WORDS, "compared-")
    sentence = Say.of(
        f"verdict.{stem}{compared.value.replace(' ', '-')}",
        n=len(found),
        samples=samples,
        condition=ruling.criterion.condition,
    )
    verdict = decided(word[compared], sentence, reason=_reason(word[compared], compared))
    return _warned(verdict, found, ruling)


def _reason(word: VerdictWord, compared: Compared) -> Say | None:
    if word is not VerdictWord.UNDECIDED:
        return None
    return Say.of("reason.cannot-tell" if compared is Compared.CANNOT_TELL else "reason.no-last-good")


def _missing(names: tuple[str, ...], case: Case) -> Say:
    names = tuple(name for name in names if name not in case.samples)
    for name in names:
        if ("limit sample", name) in case.broken:
            return Say.of("reason.sample-broken", sample=name, where=case.broken["limit sample", name])
    if names:
        return Say.of("reason.sample-unknown", n=len(names), samples=Several(names))
    return Say.of("reason.sample-unnamed")


def _warned(verdict: Verdict, samples: list[LimitSample], ruling: Ruling) -> Verdict:
    sentence = verdict.sentence
    for warning in _warnings(samples, ruling):
        sentence = Say.of("verdict.with-warning", sentence=sentence, warning=warning)
    return Verdict(verdict.word, verdict.key, sentence, verdict.reason)


def _warnings(samples: list[LimitSample], ruling: Ruling) -> Iterator[Say]:
    case = ruling.case
    for sample in samples:
        if sample.expires is not None and sample.expires < case.day:
            yield Say.of("verdict.sample.expired", sample=sample.id, day=sample.expires)
        if sample.replaced_by is not None:
            yield Say.of("verdict.sample.replaced", sample=sample.id, by=sample.replaced_by)
        for other in agreed_otherwise(sample, ruling.criterion, case.zone):
            yield Say.of(_OTHERWISE[other.what], sample=sample.id, agreed=other.sample, criterion=other.criterion)
