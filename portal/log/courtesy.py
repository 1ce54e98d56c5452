"""Lines of a mail that say nothing to the matter: greetings, closings, thanks, disclaimers."""

import re

_GREETING = re.compile(
    r"(?:hi|hello|hey|dear|good (?:morning|afternoon|day)|hallo|guten (?:tag|morgen)|moin|liebe[rs]?"
    r"|sehr geehrte[rs]?|servus)(?: (?:[^\W\d_]|[ .,'-]){0,60})?[,.!:]?",
    re.I,
)
_CLOSING = re.compile(
    r"(?:(?:with )?(?:best|kind|warm|many)?(?: and warm| and kind)? ?regards|best wishes|cheers|sincerely|yours \w+"
    r"|mit (?:freundlichen|besten|vielen) grüßen|mit (?:freundlichem|bestem) gruß"
    r"|(?:viele|beste|freundliche|liebe) grüße"
    r"|gruß|mfg|vg|lg|br|thanks(?: and (?:best )?regards)?|thank you|many thanks|danke|vielen dank|best)"
    r"(?:[,.!]| [^\W\d_.]{2,20}| [^\W\d_]\.){0,4}",
    re.I,
)
_THANKS = re.compile(r"(?!.*regards)(?:(?:many )?thanks?|danke|vielen dank)\b", re.I)
_SAID_OFTEN = re.compile(
    r"(?:many )?thanks?(?: you)? for (?:the|your) (?:mail|e-mail|email|pictures|photos|review|questions)[.!,:]?"
    r"|(?:vielen )?danke?(?: dir| ihnen)? für (?:die|ihre|deine) (?:mail|e-mail|bilder|fotos|fragen)[.!,:]?"
    r"|(?:please find |here are |see )?(?:our|my) answers(?: below| inline)?[:.]?"
    r"|(?:hier |anbei )?(?:sind |die )?(?:unsere|meine) antworten(?: unten)?[:.]?",
    re.I,
)
_DISCLAIMER = re.compile(
    r"confidential|intended recipient|disclaimer|received this (?:e-?mail|message) in error|vertraulich|irrtümlich"
    r"|registergericht|amtsgericht|geschäftsführer|sitz der gesellschaft|think before you print"
    r"|click (?:on )?(?:any )?links|klicken sie|externe(?:r|n)? (?:e-?mail|absender)"
    r"|external (?:e-?mail|sender)|sent from my|von meinem \w+ gesendet|gesendet von|virus",
    re.I,
)
_TO_THE_MATTER = re.compile(
    r"\b(?:accept|agree|reject|approve|polish|rework|concession|akzeptier|annehm|nehmen|lehnen|ablehn|freigab|freigeb"
    r"|geben|nacharbeit|frage|antwort|question [0-9]|answer)",
    re.I,
)
"""Words of a decision: a paragraph with one of them is more than a disclaimer."""
_RULED = re.compile(r"[-_=*~ .]{3,}")
"""A line that a mail program draws between a reply and what it replies to."""
_SENTENCE = re.compile(
    r"\b(?:we|you|please|only|not|is|are|the|that|this|all|wir|sie|bitte|nur|nicht|ist|sind|das|alle|p\.?s)\b", re.I
)


def is_greeting(line: str) -> bool:
    """Whether a line only greets."""
    return bool(_GREETING.fullmatch(line))


def is_closing(line: str) -> bool:
    """Whether a line closes a letter; below it stand names and addresses."""
    return bool(_CLOSING.fullmatch(line))


def is_thanks(line: str) -> bool:
    """Whether a closing is only thanks, which as often stand above what is said."""
    return bool(_THANKS.match(line))


def says_nothing(paragraph: str) -> bool:
    """Whether a paragraph is only what is said in every mail."""
    if _RULED.fullmatch(paragraph) or is_greeting(paragraph) or _SAID_OFTEN.fullmatch(paragraph):
        return True
    return bool(_DISCLAIMER.search(paragraph)) and not _TO_THE_MATTER.search(paragraph)


def is_sentence(paragraph: str) -> bool:
    """Whether words below a closing are more than a name and an address."""
    return len(_SENTENCE.findall(paragraph)) >= 2
