"""The bytes of a file to text: UTF-8, UTF-16 where the file says so, else Windows-1252, and then it is said."""

from defectlog.errors import BadInput, Problem

# The letters and signs of Western European sheets. Others (ÿ, þ, a lone control sign) mean that it is no such text.
WESTERN = frozenset("äöüÄÖÜßéèêëÉÈÊáàâãåÁÀÂÃÅæÆçÇñÑóòôõÓÒÔÕøØúùûÚÙíìîïÍÎœŒšŠžŽ°±²³¹½¼¾µ£€–—‘’‚“”„…·•×÷§®©™«»¡¿ºª´¨\xa0")
BYTE_ORDER_MARKS = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
STEP = "save it again as CSV UTF-8"


def text_of(raw: bytes, name: str) -> tuple[str, str]:
    """(the text, what to say about how it was read). Raises BadInput for what is no text."""
    coding = BYTE_ORDER_MARKS.get(raw[:2])
    if coding:
        return decoded(raw, coding, name), f"{name} is in UTF-16"
    if b"\0" in raw:
        found = f"there is a zero byte in line {raw[: raw.index(0)].count(10) + 1}: this is not a text file"
        raise BadInput(Problem("not-text", name, found, "allowed: a CSV file", STEP))
    try:
        return raw.decode("utf-8-sig"), ""
    except UnicodeDecodeError as error:
        row = raw[: error.start].count(b"\n") + 1
    if not raw.decode("utf-8", "ignore").isascii():
        found = f"row {row} is not in UTF-8, and other rows are: the file is mixed"
        raise BadInput(Problem("not-utf-8", f"{name} row {row}", found, "allowed: UTF-8", STEP))
    text = decoded(raw, "cp1252", name)
    if not {character for character in text if not character.isascii()} <= WESTERN:
        found = f"row {row} is not in UTF-8, and makes no sense in Windows-1252"
        raise BadInput(Problem("not-utf-8", f"{name} row {row}", found, "allowed: UTF-8", STEP))
    line = text.splitlines()[row - 1] if row <= len(text.splitlines()) else ""
    seen = next((word for word in line.replace(";", ",").split(",") if not word.isascii()), line)
    return text, f"{name} is not in UTF-8; read as Windows-1252, which makes row {row} say {seen.strip()[:60]!r}"


def decoded(raw: bytes, coding: str, name: str) -> str:
    try:
        return raw.decode(coding)
    except UnicodeDecodeError as error:
        found = (
            f"the file is neither UTF-8 nor {'UTF-16' if coding == 'utf-16' else 'Windows-1252'} (byte {error.start})"
        )
        raise BadInput(Problem("not-utf-8", name, found, "allowed: UTF-8", STEP)) from None
