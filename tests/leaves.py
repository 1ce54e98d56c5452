"""What an independent reader may find in a file that leaves: tags about its pixels, and nothing else.

The reader is exiftool; a tag that isn't listed here counts as a leak, and so does a listed one with another value.
Words are searched in every byte as well, as they stand there and once what was packed or coded is undone.
"""

import base64
import binascii
import json
import quopri
import re
import shutil
import subprocess
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from io import BytesIO
from pathlib import Path

import pytest

_FILE = {
    *("File:FileType", "File:FileTypeExtension", "File:MIMEType", "File:ImageWidth", "File:ImageHeight"),
    *("File:EncodingProcess", "File:BitsPerSample", "File:ColorComponents", "File:YCbCrSubSampling"),
    *("Composite:ImageSize", "Composite:Megapixels", "Composite:AvgBitrate", "Composite:Rotation"),
    "SourceFile",
}
_JPEG = {
    *("JFIF:JFIFVersion", "JFIF:ResolutionUnit", "JFIF:XResolution", "JFIF:YResolution"),
    *("APP14:DCTEncodeVersion", "APP14:APP14Flags0", "APP14:APP14Flags1", "APP14:ColorTransform"),
}
_MP4 = {
    f"QuickTime:{tag}"
    for tag in (
        *("MajorBrand", "MinorVersion", "CompatibleBrands", "MovieHeaderVersion", "TimeScale", "Duration"),
        *("PreferredRate", "PreferredVolume", "MatrixStructure", "PreviewTime", "PreviewDuration", "PosterTime"),
        *("SelectionTime", "SelectionDuration", "CurrentTime", "NextTrackID", "TrackHeaderVersion", "TrackID"),
        *("TrackDuration", "TrackLayer", "TrackVolume", "ImageWidth", "ImageHeight", "MediaHeaderVersion"),
        *("MediaTimeScale", "MediaDuration", "GraphicsMode", "OpColor", "CompressorID", "SourceImageWidth"),
        *("SourceImageHeight", "XResolution", "YResolution", "BitDepth", "AVCConfiguration", "ColorProfiles"),
        *("ColorPrimaries", "TransferCharacteristics", "MatrixCoefficients", "VideoFullRangeFlag", "BufferSize"),
        *("MaxBitrate", "AverageBitrate", "VideoFrameRate", "PixelAspectRatio", "VideoFieldOrder"),
        *("SyncSampleTable", "CompositionTimeToSample", "TimeToSampleTable", "SampleToChunk", "SampleSizes"),
        *("ChunkOffset", "SampleGroupDescription", "SampleToGroup", "IdependentAndDisposableSamples"),
        *("Unknown_edts", "Unknown_esds", "Unknown_btrt", "Balance", "AudioFormat", "AudioChannels"),
        *("AudioBitsPerSample", "AudioSampleRate", "MediaData", "MediaDataSize", "MediaDataOffset"),
    )
}
_WEBM = {
    f"Matroska:{tag}"
    for tag in (
        *("EBMLVersion", "EBMLReadVersion", "EBMLMaxIDLength", "EBMLMaxSizeLength", "DocType", "DocTypeVersion"),
        *("DocTypeReadVersion", "SeekID", "SeekPosition", "TimecodeScale", "Duration", "TrackNumber", "TrackUID"),
        *("TrackLacing", "TrackDefault", "TrackType", "CodecID", "CodecPrivate", "VideoFrameRate", "CRC-32"),
        *("VideoScanType", "ImageWidth", "ImageHeight", "DisplayUnit", "MaxBlockAdditionID", "TagTrackUID"),
        *("AudioChannels", "AudioSampleRate", "AudioBitsPerSample", "CueTime", "CueTrack", "CueClusterPosition"),
        *("Matroska_0x0070", "Matroska_0x15b0", "Matroska_0x16aa", "Matroska_0x16bb"),  # colours, delays, cues
    )
}
_PDF = {f"PDF:{tag}" for tag in ("PDFVersion", "Linearized", "PageCount", "Language", "PageLayout", "TaggedPDF")}
_TEXT = {f"File:{tag}" for tag in ("ByteOrderMark", "LineCount", "WordCount", "MIMEEncoding", "Newlines")}
_ZIP = {
    f"ZIP:{tag}"
    for tag in (
        *("ZipBitFlag", "ZipCRC", "ZipCompression", "ZipCompressedSize", "ZipUncompressedSize"),
        *("ZipRequiredVersion", "ZipFileName"),
    )
}
_HINTS = {f"JSON:{tag}" for tag in ("Sharpness", "Clipped", "Evenness", "Within", "Look")}

_ONLY = {
    "JFIF:XResolution": "1",
    "JFIF:ResolutionUnit": "None",
    "PDF:Title": r"Review \d+.*",
    "PDF:Creator": r"portal [0-9.]+.*",
    "PDF:CreateDate": r"\d{4}:\d\d:\d\d .*",  # when the review was sent
    "ZIP:ZipModifyDate": r"\d{4}:\d\d:\d\d .*",  # when the review was sent
    "HTML:Title": r".*",
    "HTML:HTTPEquivContentSecurityPolicy": r"default-src 'none'; .*",
    "HTML:ColorScheme": "light dark",
    "HTML:Referrer": "no-referrer",
    "HTML:Viewport": "width=device-width, initial-scale=1",
    **{
        f"QuickTime:{tag}": "0000:00:00 00:00:00"
        for tag in ("CreateDate", "ModifyDate", "TrackCreateDate", "TrackModifyDate")
    },
    **{f"QuickTime:{tag}": "0000:00:00 00:00:00" for tag in ("MediaCreateDate", "MediaModifyDate")},
    "QuickTime:MediaLanguageCode": "und",
    "QuickTime:HandlerDescription": "VideoHandler|SoundHandler",
    "QuickTime:HandlerType": "Video Track|Audio Track|Metadata",  # an empty box that the writer always makes
    "QuickTime:HandlerVendorID": r"\w{5}",  # whose format that empty box is
    "QuickTime:CompressorName": "",
    "QuickTime:Free": r"\(Binary data 0 bytes.*",
    "Matroska:MuxingApp": "Lavf",
    "Matroska:WritingApp": "Lavf",
    "Matroska:TrackLanguage": "und",
    "Composite:Duration": r".*",
}
"""Tags that may stand there with no other value than this pattern."""

ALLOWED = _FILE | _JPEG | _MP4 | _WEBM | _PDF | _TEXT | _ZIP | _HINTS


def told_beside(files: Iterable[Path]) -> dict[str, dict[str, str]]:
    """What the reader finds beside pixels, by file; nothing where all is well. Skips where there is no exiftool."""
    tool = shutil.which("exiftool")
    if tool is None:
        pytest.skip("exiftool is not installed")
    names = [str(each) for each in files]
    assert names, "there is something to read"
    asked = [tool, "-j", "-G", "-a", "-u", "-ee3", "-api", "LargeFileSupport=1", *names]
    run = subprocess.run(asked, capture_output=True, check=True)
    found = {}
    for each in json.loads(run.stdout):
        name = Path(each["SourceFile"]).name
        ours = {tag for tag in each if tag.startswith("JSON:")} if name == "shown.json" else set()
        rest = {tag: str(value) for tag, value in each.items() if tag not in ours and not _is_allowed(tag, str(value))}
        if rest:
            found[name] = rest
    return found


def _is_allowed(tag: str, value: str) -> bool:
    if tag in _ONLY:
        return re.fullmatch(_ONLY[tag], value, re.DOTALL) is not None
    system = ("File:FileName", "File:Directory", "File:FileSize", "File:FilePermissions")
    of_disk = re.fullmatch(r"File:File\w+Date|ExifTool:ExifToolVersion", tag)
    return tag in ALLOWED or tag in system or of_disk is not None


_DEEPEST = 4
_PACKED = re.compile(rb"\x78[\x01\x5e\x9c\xda]|\x1f\x8b\x08")
"""How what zlib or gzip packed begins: RFC 1950 and 1952; also in a PDF, a font, a picture."""
_CODED = re.compile(rb"(?:[A-Za-z0-9+/]{40,}[ \t]*\r?\n?)+[A-Za-z0-9+/]*={0,2}")
_WAYS = ("utf-8", "latin-1", "utf-16-le", "utf-16-be")


def words_in(files: Iterable[Path], words: Iterable[str]) -> dict[str, set[str]]:
    """Which of some words a file holds or is called by, whatever their case; nothing where it holds none."""
    sought = {word.lower().encode(way): word for word in words for way in _WAYS}
    pattern = re.compile(b"|".join(map(re.escape, sought)))
    found = {}
    for path in files:
        contents = [path.name.encode(), *_opened(path.read_bytes())]
        if hits := {sought[match[0]] for each in contents for match in pattern.finditer(each.lower())}:
            found[path.name] = hits
    return found


def _opened(data: bytes, depth: int = 0) -> Iterator[bytes]:
    """Some bytes, and what comes of them where something in them is unpacked, and of that again."""
    yield data
    if depth == _DEEPEST:
        return
    if b"quoted-printable" in data:
        yield quopri.decodestring(data)
    for part in _parts(data):
        yield from _opened(part, depth + 1)


def _parts(data: bytes) -> Iterator[bytes]:
    if data[:4] == b"PK\3\4":
        with zipfile.ZipFile(BytesIO(data)) as packed:
            for each in packed.infolist():
                yield each.filename.encode() + each.comment + each.extra
                yield packed.read(each)
    for match in _PACKED.finditer(data):
        try:
            yield zlib.decompressobj(47).decompress(data[match.start() :])
        except zlib.error:
            continue
    for match in _CODED.finditer(data):
        text = re.sub(rb"\s", b"", match[0])
        try:
            yield base64.b64decode(text[: len(text) // 4 * 4])
        except binascii.Error:
            continue
