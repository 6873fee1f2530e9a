"""Pictures made here, part by part as their standards say: what is needed to show them is kept, the rest is gone."""

import random
import struct
import zlib

import pytest

from defectlog.book.pictures import NoPicture, cleaned, orientation_of

SECRET = b"GPS 51.5007 N, owner, serial number"


def segment(marker, body):
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def exif(orientation, order=">"):
    mark = b"MM" if order == ">" else b"II"
    tiff = mark + struct.pack(f"{order}HIH", 42, 8, 2)
    tiff += struct.pack(f"{order}HHIHH", 0x0112, 3, 1, orientation, 0)
    tiff += struct.pack(f"{order}HHII", 0x010F, 2, len(SECRET), 38) + struct.pack(f"{order}I", 0) + SECRET
    return segment(0xE1, b"Exif\0\0" + tiff)


JFIF = segment(0xE0, b"JFIF\0" + bytes([1, 1, 0, 0, 1, 0, 1, 0, 0]))
TABLES = segment(0xDB, b"\0" + bytes(range(1, 65))) + segment(0xC4, b"\0" + b"\0" * 16)
FRAME = segment(0xC0, struct.pack(">BHHB", 8, 8, 8, 1) + b"\1\x11\0")
SCAN = segment(0xDA, b"\1\1\0\0\x3f\0") + b"\x12\xff\x00\x34\xff\xd0\x56"
END = b"\xff\xd9"


def jpeg(*between):
    return b"\xff\xd8" + b"".join(between) + TABLES + FRAME + SCAN + END


def chunk(name, body):
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


HEAD = chunk(b"IHDR", struct.pack(">IIBBBBB", 2, 2, 8, 2, 0, 0, 0))
DATA = chunk(b"IDAT", zlib.compress(b"\0" + b"\1" * 6 + b"\0" + b"\2" * 6))
BEGIN = b"\x89PNG\r\n\x1a\n"


def png(*between, data=DATA):
    return BEGIN + HEAD + b"".join(between) + data + chunk(b"IEND", b"")


def riff(*chunks):
    body = b"WEBP" + b"".join(
        name + struct.pack("<I", len(part)) + part + b"\0" * (len(part) % 2) for name, part in chunks
    )
    return b"RIFF" + struct.pack("<I", len(body)) + body


LOSSLESS = b"\x2f" + struct.pack("<I", 1 | 1 << 14) + b"\7\7"
LOSSY = b"\0\0\0\x9d\x01\x2a" + struct.pack("<HH", 2, 2) + b"data"


def test_a_jpeg_keeps_its_picture_and_nothing_else():
    dirty = jpeg(
        JFIF, exif(1), segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + SECRET), segment(0xED, SECRET),
        segment(0xE2, b"MPF\0" + SECRET), segment(0xFE, SECRET), segment(0xF0, SECRET),
    )  # fmt: skip
    ending, clean = cleaned(dirty + b"a film behind the picture " + SECRET)
    assert ending == "jpg"
    assert SECRET not in clean
    assert clean == jpeg(JFIF, cleaned(jpeg(exif(1)))[1][2:38])
    assert clean.endswith(FRAME + SCAN + END)


@pytest.mark.parametrize("order", "<>")
@pytest.mark.parametrize("orientation", range(1, 9))
def test_which_way_up_is_kept(orientation, order):
    """Tag 0x0112 of the first directory (Exif 2.32), in both byte orders."""
    clean = cleaned(jpeg(exif(orientation, order)))[1]
    assert orientation_of(clean[clean.index(b"Exif\0\0") + 6 :]) == orientation
    assert SECRET not in clean


@pytest.mark.parametrize("tiff", [b"", b"MM\0*\xff\xff\xff\xff", b"II*\0\x08\0\0\0\xff\xff", b"XX*\0\x08\0\0\0"])
def test_a_broken_directory_is_upright(tiff):
    assert orientation_of(tiff) == 1


def test_a_picture_in_several_scans_keeps_them_all():
    """A progressive picture: tables and scans in turn."""
    clean = cleaned(b"\xff\xd8" + TABLES + FRAME + SCAN + TABLES + SCAN + END)[1]
    assert clean.count(SCAN) == 2


def test_a_preview_within_the_jfif_mark_goes_too():
    small = segment(0xE0, b"JFIF\0" + bytes([1, 1, 0, 0, 1, 0, 1, 4, 4]) + SECRET + b"\0" * 13)
    assert cleaned(jpeg(small))[1] == jpeg()


def test_a_png_keeps_its_picture_and_nothing_else():
    gamma = chunk(b"gAMA", struct.pack(">I", 45455))
    dirty = png(
        gamma, chunk(b"tEXt", b"Location\0" + SECRET), chunk(b"zTXt", b"a\0\0" + zlib.compress(SECRET)),
        chunk(b"iTXt", SECRET), chunk(b"eXIf", SECRET), chunk(b"tIME", b"\x07\xea\3\2\x0b\0\0"), chunk(b"prVt", SECRET),
    )  # fmt: skip
    assert cleaned(dirty + SECRET) == ("png", png(gamma))


@pytest.mark.parametrize(("name", "body"), [(b"VP8L", LOSSLESS), (b"VP8 ", LOSSY)])
def test_a_webp_keeps_its_picture_and_nothing_else(name, body):
    head = bytes([0b00111100, 0, 0, 0]) + b"\1\0\0\1\0\0"
    dirty = riff((b"VP8X", head), (b"ICCP", SECRET), (name, body), (b"EXIF", SECRET), (b"XMP ", SECRET))
    ending, clean = cleaned(dirty + SECRET)
    assert (ending, clean) == ("webp", riff((b"VP8X", bytes([0x10]) + head[1:]), (name, body)))


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"plain text",
        b"GIF89a" + b"\0" * 20,
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"%PDF-1.7",
        b"\0\0\0\x18ftypheic" + b"\0" * 20,
        b"\xff\xd8\xff",
        b"\xff\xd8" + JFIF + END,
        b"\xff\xd8" + TABLES + SCAN + END,
        b"\xff\xd8" + TABLES + FRAME + SCAN,
        b"\xff\xd8" + b"\xff\xe1\0\1" + END,
        b"\xff\xd8" + TABLES + segment(0xC0, struct.pack(">BHHB", 8, 0, 8, 1)) + SCAN + END,
        BEGIN,
        BEGIN + DATA,
        BEGIN + HEAD + chunk(b"IEND", b""),
        BEGIN + HEAD + DATA,
        png()[:-20] + bytes([png()[-20] ^ 1]) + png()[-19:],
        png(data=chunk(b"IDAT", b"not packed")),
        png(data=chunk(b"IDAT", zlib.compress(b"\0\1\1"))),
        png(data=chunk(b"IDAT", zlib.compress(b"\0" * 14) + SECRET)),
        png(data=chunk(b"IDAT", zlib.compress(b"\0" * 50_000_000))),
        png(chunk(b"ABCD", b"")),
        BEGIN + chunk(b"IHDR", struct.pack(">IIBBBBB", 2**31 - 1, 2**31 - 1, 8, 2, 0, 0, 0)) + DATA,
        riff(),
        riff((b"VP8 ", b"\0" * 10)),
        riff((b"VP8L", b"\0" * 10)),
        riff((b"ANIM", b"\0" * 6), (b"VP8L", LOSSLESS)),
        riff((b"VP8L", LOSSLESS))[:-1],
    ],
    ids=range(28),
)  # fmt: skip
def test_what_is_no_whole_picture_is_refused(content):
    with pytest.raises(NoPicture):
        cleaned(content)


@pytest.mark.parametrize("whole", [jpeg(JFIF, exif(6)), png(), riff((b"VP8L", LOSSLESS))], ids=["jpeg", "png", "webp"])
def test_a_damaged_picture_is_refused_or_cleaned_and_never_an_accident(whole):
    """Any byte changed, cut off anywhere: NoPicture or a picture, no other error; what is cleaned stays as it is."""
    chance = random.Random(7)
    for _ in range(600):
        content = bytearray(whole)
        for _ in range(chance.randrange(3)):
            content[chance.randrange(len(content))] = chance.randrange(256)
        try:
            ending, clean = cleaned(bytes(content[: chance.choice([len(content), chance.randrange(len(content))])]))
        except NoPicture:
            continue
        assert cleaned(clean) == (ending, clean)
