"""Changes of a record's text that leave every other line and comment as it is. Pure: text in, text out."""

import re

_FIRST_KEY = re.compile(r"^(?!---)[^\s#-]", re.MULTILINE)


def with_first_lines(text: str, values: dict[str, str]) -> str:
    """The record's text with ``key: value`` lines put before its first key, after any comment that opens the file.

    The values must be plain words that need no quotes. Line ends follow the file's own.
    """
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = "".join(f"{key}: {value}{newline}" for key, value in values.items())
    match = _FIRST_KEY.search(text)
    if match is None:
        body = text if not text or text.endswith("\n") else text + newline
        return body + lines
    return text[: match.start()] + lines + text[match.start() :]
