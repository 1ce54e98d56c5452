"""A small sent review: three findings, four asks, pictures of a few hundred pixels."""

import hashlib
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw

from portal.model.answer import AskKind
from portal.model.digest import canonical
from portal.model.shown import Sent, Shown
from portal.model.terms import Answer

MEANS = {
    "A": "judged inside",
    "B": "judged outside",
    "C": "concession, with reason, scope and your reference",
    "D": "rework",
    "E": "more evidence: say which",
    "?": "a question back",
}


class Store:
    """A review's store in a folder, with what sending added."""

    def __init__(self, folder: Path, *, text: str = "") -> None:
        self.folder = folder
        self.pictures: dict[str, Path] = {}
        self.shown = Shown.model_validate(self._shown(text))
        self.sent = Sent(
            digest=hashlib.sha256(canonical(self.shown.plain())).hexdigest(),
            number=2,
            event="e" * 64,
            heads=("d" * 64, "e" * 64),
            sent_on="2026-03-04",
            by=text or "M. Vasquell",
            to=(text or "K. Ammerlund", "J. Oostervald"),
            reply_to="m.vasquell@halvenast.example",
        )

    def picture(self, width: int, height: int, shade: int) -> str:
        """Keep a picture with a dark spot in its middle; its SHA-256."""
        image = Image.new("RGB", (width, height), (shade, shade, shade - 8))
        middle = (width * 0.42, height * 0.4, width * 0.58, height * 0.6)
        ImageDraw.Draw(image).ellipse(middle, fill=(60, 58, 52))
        buffer = BytesIO()
        image.save(buffer, "JPEG", quality=88)
        sha = hashlib.sha256(buffer.getvalue()).hexdigest()
        self.pictures[sha] = self.folder / f"{sha}.jpg"
        self.pictures[sha].write_bytes(buffer.getvalue())
        return sha

    def _shown(self, text: str) -> dict[str, Any]:
        def said(words: str) -> str:
            return f"{words} {text}" if text else words

        whole, close, limit, plain = (
            self.picture(800, 600, 200), self.picture(240, 160, 190), self.picture(250, 170, 180),
            self.picture(300, 200, 170),
        )  # fmt: skip
        files = {whole: (800, 600, True), close: (240, 160, False), limit: (250, 170, False), plain: (300, 200, False)}
        finding: dict[str, Any] = {"said": said, "whole": whole, "close": close, "limit": limit}
        return {
            "format": 1,
            "program": "0.1.0",
            "language": "en",
            "unit": "mm",
            "shop": said("Halvenast Small Parts"),
            "customer": said("Brindelaar Optics"),
            "customer_id": "brindelaar",
            "part": {
                "id": "LC-0440",
                "name": said("Lens collar"),
                "number_shop": said("LC-0440"),
                "number_customer": said("88-1203-04"),
                "drawing": said("LC-0440"),
                "drawing_revision": said("C"),
            },
            "trial": "M-118/T2",
            "stage": said("First-off"),
            "marking": said("Confidential"),
            "title": [{"name": said("Material"), "value": said("POM natural"), "more": said("lot 77"), "strong": True}],
            "word": "does not conform",
            "sentence": said("3 findings: 1 does not conform, 1 undecided and 1 conforms."),
            "asks": [
                _ask(1, AskKind.DOES_NOT_CONFORM, ["7K3F", "7K3G"], said, due="2026-03-11", names_needed=2),
                _ask(2, AskKind.UNDECIDED, ["7K3G"], said, follows=True),
                _ask(3, AskKind.NOT_AGREED, ["7K3F"], said),
                _ask(4, AskKind.QUESTION, [], said, picture=whole, picture_name=said("c1_top.jpg"), spot="400,300"),
            ],
            "findings": [
                _finding("7K3F", "does not conform", **finding, ruler=True),
                _finding("7K3G", "undecided", **finding, ruler=False),
                _finding("7K3H", "conforms", **{**finding, "close": plain}, ruler=False),
            ],
            "since": [said("7K3F was measured again")],
            "sheet": {
                "views": [{"name": said("top-face"), "value": said("picture always")}],
                "rows": [
                    {
                        "cavity": said("1"),
                        "word": "does not conform",
                        "sentence": said("2 findings."),
                        "cells": [{"pictures": 1, "findings": ["7K3F"], "looked": [said("Looked at, nothing seen")]}],
                    },
                    {"cavity": said("2"), "cells": [{"pictures": 0, "missing": said("1 picture missing")}]},
                ],
                "blocked": [said("Cavity 3 is blocked: vent")],
            },
            "facts": [{"name": said("Checked"), "value": said("by T. Orlevin")}],
            "pieces": [{"name": said("T2-1-14-1"), "value": said("cavity 1, shot 14"), "more": said("box 14")}],
            "classes": [
                {
                    "id": "c-black-speck",
                    "term": said("black speck"),
                    "prose": "Dark particle in the surface.",
                    "lines": [{"name": said("Looks like"), "value": said("a dark point")}],
                }
            ],
            "cautions": [said("This is a visual result only.")],
            "pictures": [
                {"sha256": sha, "width": size[0], "height": size[1], "name": "c1_top.jpg", "whole": size[2]}
                for sha, size in files.items()
            ],
        }


def _ask(number: int, kind: AskKind, findings: list[str], said: Any, **more: Any) -> dict[str, Any]:
    return {
        "number": number,
        "ask": f"{number}" * 64,
        "kind": kind.value,
        "question": said(f"What becomes of it, question {number}?"),
        "letters": [
            {"letter": each.value, "meaning": said(MEANS[each.value])}
            for each in sorted(kind.offers, key=list(Answer).index)
        ],
        "findings": findings,
        "owed_by": [said("K. Ammerlund"), "J. Oostervald"],
        **more,
    }


def _finding(id_: str, word: str, *, said: Any, whole: str, close: str, limit: str, ruler: bool) -> dict[str, Any]:
    box = {"left": 280, "top": 220, "right": 520, "bottom": 380}
    view = {"picture": close, "alt": said(f"black speck, finding {id_}"), "aspect": "a32", "field": box, "placed": box,
            "pixel": [1.0, 1.0], "paths": [{"d": "M390 290L410 310", "kind": "outline"}],
            "bar": {"label": "0.1 mm", "percent": 41.7}}  # fmt: skip
    criterion = {
        "name": said("BS-B, revision 4"),
        "demand": said("mean diameter at most 0.100 mm"),
        "severity": said("minor"),
        "where": said("Stands in the drawing"),
        "agreed": said("Agreed by K. Ammerlund"),
    }
    return {
        "id": id_,
        "basis": hashlib.sha256(id_.encode()).hexdigest(),
        "rests_on": {"finding": {"id": id_}},
        "said": {"key": "verdict.outside", "word": word},
        "defect": said("black speck"),
        "defect_id": "black-speck",
        "place": [said("cavity 1"), said("zone B")],
        "cavity": "1",
        "piece": said("T2-1-14-1"),
        "sentence": said(f"The mean diameter of {id_} is 0.140 mm ± 0.006 mm."),
        "more": [said("The count is told beside it.")],
        "view": view,
        "whole": whole,
        "whole_name": said("c1_top.jpg"),
        "samples": [
            {
                "id": said("LS-0007"),
                "side": said("Last good"),
                "agreed": said("agreed 11 February 2026"),
                "scale": said("same scale"),
                "same_scale": True,
                "view": {**view, "picture": limit, "alt": said("Limit sample LS-0007"), "paths": []},
                "warnings": [said("Limit sample LS-0007 expired.")],
            }
        ]
        if id_ == "7K3G"
        else [],
        "rulers": [_ruler(said)] if ruler else [],
        "values": [
            {
                "value": said("mean diameter 0.140 mm ± 0.006 mm"),
                "how": said("Drawn as outline"),
                "factor": said("Combined standard uncertainty 0.0027 mm"),
                "scale": said("Scale 1 µm per pixel"),
                "correction": said("0.001 mm taken off"),
                "terms": [
                    {"name": said("pointing"), "u": said("0.0011 mm"), "distribution": said("normal"), "share": 100}
                ],
            }
        ],
        "refused": [said("Not measured: height")],
        "criterion": criterion,
        "set_aside": [{**criterion, "name": said("BS-C, revision 1")}],
        "facts": [{"name": said("Found"), "value": said("Found by K. Ammer")}],
        "concern": said("Contamination") if id_ == "7K3F" else None,
        "note": "At the rim.",
    }


def _ruler(said: Any) -> dict[str, Any]:
    return {
        "value": 140.0,
        "expanded": 6.0,
        "upper": {"um": 100.0, "text": "0.100 mm"},
        "accept_to": 95.5,
        "reject_above": 104.5,
        "shown": "0.140 mm ± 0.006 mm",
        "accept_to_shown": "0.095 mm",
        "sentence": said("It is outside."),
    }
