"""The canonical form against the test data published with RFC 8785: its table of numbers, its six documents."""

import hashlib
import json
import math
import struct

import pytest
import rfc8785

from portal.model.digest import canonical, digest

NUMBERS = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
    ("4340000000000001", "9007199254740994"),
    ("4340000000000002", "9007199254740996"),
]
"""RFC 8785, appendix B: the bits of a number as IEEE 754 has them, and how it is written."""

DOCUMENTS = {
    "arrays": (
        r'[56,{"d":true,"10":null,"1":[ ]}]',
        "099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42",
    ),
    "french": (
        r'{"peach":"This sorting order","p\u00e9ch\u00e9":"is wrong according to French",'
        r'"p\u00eache":"but canonicalization MUST","sin":"ignore locale"}',
        "d99d0ebdcb0033cb858cfa830ae46bc0fb3309413b271f1da828c89901a27ed5",
    ),
    "structures": (
        r'{"1":{"f":{"f":"hi","F":5},"\n":56.0},"10":{},"":"empty","a":{},"111":[{"e":"yes","E":"no"}],"A":{}}',
        "605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5",
    ),
    "unicode": (
        r'{"Unnormalized Unicode":"A\u030a"}',
        "0d99aad92a125196ff887876643fd3206786a84ddce2cee52ba4ad256d2381d3",
    ),
    "values": (
        r'{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],'
        r'"string":"\u20ac$\u000F\u000aA\u0027\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}',
        "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb",
    ),
    "weird": (
        r'{"\u20ac":"Euro Sign","\r":"Carriage Return","\u000a":"Newline","1":"One","\u0080":"Control\u007f",'
        r'"\ud83d\ude02":"Smiley","\u00f6":"Latin Small Letter O With Diaeresis",'
        r'"\ufb33":"Hebrew Letter Dalet With Dagesh","</script>":"Browser Challenge"}',
        "6af595a9aa80110b964b4de3f82a05fa6ae7423005019bacfa2620dddc4e94d1",
    ),
}
"""The documents of the author's test data, and the SHA-256 of their canonical forms there."""


@pytest.mark.parametrize(("bits", "written"), NUMBERS)
def test_a_number_is_written_as_the_table_has_it(bits: str, written: str) -> None:
    """Every row that is a number at all."""
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(value) == written.encode("ascii")


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    """It has no canonical form."""
    with pytest.raises(rfc8785.CanonicalizationError):
        canonical(value)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_has_the_published_form(name: str) -> None:
    """Keys in the order of their UTF-16 code units, nothing normalised, nothing escaped that need not be."""
    text, published = DOCUMENTS[name]
    assert digest(json.loads(text)) == hashlib.sha256(canonical(json.loads(text))).hexdigest() == published
