"""A picture without what a phone writes into it: place, time, owner, previews, and whatever hangs behind the picture.

Only the parts that are needed to show it are kept: everything else is left out, known or not. A file that is not built
as its standard says is no picture. JPEG: ITU-T T.81, annex B. PNG: W3C, Portable Network Graphics, third edition.
WebP: RFC 9649. Which way up a JPEG is (Exif 2.32, tag 0x0112, in a TIFF 6.0 directory) is kept, written anew.
"""

import struct
import zlib
from collections.abc import Iterator

MOST_PIXELS = 200_000_000
PNG_BEGIN = b"\x89PNG\r\n\x1a\n"
# Frames, tables, restarts, scans and the end: what a JPEG is shown with.
JPEG_KEPT = frozenset([*range(0xC0, 0xD0), 0xD9, 0xDA, 0xDB, 0xDC, 0xDD]) - {0xC8}
# Of the optional parts of a PNG those that say how its colours are meant.
PNG_KEPT = (b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"sBIT", b"bKGD", b"cICP")
WEBP_KEPT = (b"VP8 ", b"VP8L", b"VP8X", b"ALPH")
WEBP_ALPHA = 0x10  # of the flags of VP8X the only one that is kept
ORIENTATION = 0x0112


class NoPicture(Exception):
    """Why the bytes are not taken, in plain words."""


def cleaned(content: bytes) -> tuple[str, bytes]:
    """The ending of its kind (jpg, png, webp) and the picture alone. Raises NoPicture."""
    try:
        if content.startswith(b"\xff\xd8\xff"):
            return "jpg", cleaned_jpeg(content)
        if content.startswith(PNG_BEGIN):
            return "png", cleaned_png(content)
        if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
            return "webp", cleaned_webp(content)
    except (struct.error, IndexError, zlib.error):
        raise NoPicture("the picture is cut off or damaged") from None
    if content[4:8] == b"ftyp":
        raise NoPicture("this kind of picture (HEIC, AVIF or a film) cannot be cleaned of the place it was taken at")
    raise NoPicture("this is no picture")


def cleaned_jpeg(content: bytes) -> bytes:
    kept = [b"\xff\xd8"]
    frames = 0
    for marker, part in jpeg_parts(content):
        if marker == 0xE1 and part[4:10] == b"Exif\0\0":
            kept.append(upright(orientation_of(part[10:])))
        elif is_frame(marker):
            height, width = struct.unpack(">HH", part[5:9])
            sized(width, height)
            frames += 1
        if marker in JPEG_KEPT or is_colour_mark(marker, part):
            kept.append(part)
    if frames == 0:
        raise NoPicture("there is no picture in the file")
    return b"".join(kept)


def jpeg_parts(content: bytes) -> Iterator[tuple[int, bytes]]:
    """(marker, its whole segment) up to the end of the picture; a scan has its coded data with it."""
    place, scans = 2, 0
    while True:
        if content[place] != 0xFF:
            raise NoPicture("the picture is damaged")
        marker = content[place + 1]
        if marker == 0xFF:  # fill bytes may stand before a marker
            place += 1
            continue
        if marker == 0xD9:
            if scans == 0:
                raise NoPicture("there is no picture in the file")
            yield marker, b"\xff\xd9"
            return
        [length] = struct.unpack(">H", content[place + 2 : place + 4])
        end = place + 2 + length
        if length < 2 or end > len(content):
            raise NoPicture("the picture is cut off")
        if marker == 0xDA:
            end = end_of_scan(content, end)
            scans += 1
        yield marker, content[place:end]
        place = end


def end_of_scan(content: bytes, place: int) -> int:
    """Where the next marker begins: FF00 is a byte FF of the picture, FFD0 to FFD7 are restarts within it."""
    while True:
        place = content.find(b"\xff", place)
        if place < 0 or place + 1 >= len(content):
            raise NoPicture("the picture is cut off")
        if content[place + 1] != 0 and not 0xD0 <= content[place + 1] <= 0xD7:
            return place
        place += 2


def is_frame(marker: int) -> bool:
    return 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC)


def is_colour_mark(marker: int, part: bytes) -> bool:
    """JFIF without its preview, and the mark that says how three or four colours are coded."""
    return (marker == 0xE0 and part[4:9] == b"JFIF\0" and part[16:18] == b"\0\0" and len(part) == 18) or (
        marker == 0xEE and part[4:9] == b"Adobe" and len(part) == 16
    )


def orientation_of(tiff: bytes) -> int:
    """1 to 8, as the first directory says; 1 (upright) when it does not."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    try:
        if order is None:
            return 1
        [first] = struct.unpack(f"{order}I", tiff[4:8])
        [entries] = struct.unpack(f"{order}H", tiff[first : first + 2])
        for place in range(first + 2, first + 2 + 12 * entries, 12):
            tag, kind, count, value = struct.unpack(f"{order}HHIH", tiff[place : place + 10])
            if tag == ORIENTATION and (kind, count) == (3, 1) and 1 <= value <= 8:
                return int(value)
    except struct.error:
        pass
    return 1


def upright(orientation: int) -> bytes:
    """A segment that says which way up the picture is, and nothing else."""
    tiff = struct.pack(">2sHIHHHIHHI", b"MM", 42, 8, 1, ORIENTATION, 3, 1, orientation, 0, 0)
    body = b"Exif\0\0" + tiff
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body


def cleaned_png(content: bytes) -> bytes:
    kept = [PNG_BEGIN]
    names: list[bytes] = []
    points = Unpacked(0)
    for name, body, whole in png_parts(content):
        if not names:
            points = Unpacked(png_size(name, body))
        if name == b"IDAT":
            points.take(body)
        names.append(name)
        if name in PNG_KEPT:
            kept.append(whole)
        elif name[0] & 0x20 == 0:  # a capital letter: it could not be shown without this part
            raise NoPicture("the picture has a part that this program does not know")
    if not points.whole():
        raise NoPicture("the picture is cut off")
    return b"".join(kept)


def png_size(name: bytes, body: bytes) -> int:
    """Bytes of the picture unpacked, its lines' filters with it; more when it is interlaced."""
    if name != b"IHDR" or len(body) != 13:
        raise NoPicture("the picture is damaged")
    width, height, depth, colour = struct.unpack(">IIBB", body[:10])
    sized(width, height)
    channels = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}.get(colour)
    if channels is None or depth not in (1, 2, 4, 8, 16):
        raise NoPicture("the picture is damaged")
    return int(height * (1 + (width * channels * depth + 7) // 8))


class Unpacked:
    """Counts what the packed points of a PNG come to, and keeps nothing: a megabyte at a time, never more than twice
    what its size says."""

    def __init__(self, expected: int) -> None:
        self.expected = expected
        self.came = 0
        self.data = zlib.decompressobj()

    def take(self, body: bytes) -> None:
        while body and not self.data.eof:
            self.came += len(self.data.decompress(body, 1_000_000))
            body = self.data.unconsumed_tail
            if self.came > 2 * self.expected + 1000:
                raise NoPicture("the picture is damaged")

    def whole(self) -> bool:
        return self.data.eof and not self.data.unused_data and self.came >= self.expected > 0


def png_parts(content: bytes) -> Iterator[tuple[bytes, bytes, bytes]]:
    """(name, body, the whole chunk) up to the end of the picture."""
    place, name = len(PNG_BEGIN), b""
    while name != b"IEND":
        length, name = struct.unpack(">I4s", content[place : place + 8])
        body = content[place + 8 : place + 8 + length]
        [check] = struct.unpack(">I", content[place + 8 + length : place + 12 + length])
        if check != zlib.crc32(name + body):
            raise NoPicture("the picture is damaged")
        yield name, body, content[place : place + 12 + length]
        place += 12 + length


def cleaned_webp(content: bytes) -> bytes:
    [length] = struct.unpack("<I", content[4:8])
    end = 8 + length
    if end > len(content):
        raise NoPicture("the picture is cut off")
    kept: list[bytes] = []
    shown = 0
    place = 12
    while place < end:
        name, size = struct.unpack("<4sI", content[place : place + 8])
        body = content[place + 8 : place + 8 + size]
        place += 8 + size + size % 2
        if len(body) != size or place > end:
            raise NoPicture("the picture is cut off")
        if name in (b"ANIM", b"ANMF"):
            raise NoPicture("this is a moving picture")
        if name in (b"VP8 ", b"VP8L"):
            sized(*webp_size(name, body))
            shown += 1
        if name == b"VP8X":
            body = bytes([body[0] & WEBP_ALPHA]) + body[1:]
        if name in WEBP_KEPT:
            kept.append(struct.pack("<4sI", name, size) + body + b"\0" * (size % 2))
    if shown != 1:
        raise NoPicture("there is no picture in the file")
    whole = b"WEBP" + b"".join(kept)
    return b"RIFF" + struct.pack("<I", len(whole)) + whole


def webp_size(name: bytes, body: bytes) -> tuple[int, int]:
    """Width and height; RFC 9649 for lossless, RFC 6386 (section 9.1) for the other."""
    if name == b"VP8L":
        if body[0] != 0x2F:
            raise NoPicture("the picture is damaged")
        [bits] = struct.unpack("<I", body[1:5])
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    if body[3:6] != b"\x9d\x01\x2a":
        raise NoPicture("the picture is damaged")
    width, height = struct.unpack("<HH", body[6:10])
    return width & 0x3FFF, height & 0x3FFF


def sized(width: int, height: int) -> None:
    if width < 1 or height < 1 or width * height > MOST_PIXELS:
        raise NoPicture(f"a picture of {width} by {height} points is not taken")
