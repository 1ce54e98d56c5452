"""What an independent reader may find in a file that leaves: tags about its pixels, and nothing else.

The reader is exiftool; a tag that isn't listed here counts as a leak, and so does a listed one with another value.
"""

import json
import re
import shutil
import subprocess
from collections.abc import Iterable
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
