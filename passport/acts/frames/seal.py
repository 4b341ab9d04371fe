"""Sealing a frame's page, giving it a new secret, and taking the seal off."""

from passport.acts.change import Base, Change
from passport.records.language.worded import worded
from passport.records.schema.frame import Frame
from passport.records.yaml.edit import with_value


def sealed(base: Base, *, name: str, renew: bool, secret: str) -> Change:
    """The change that seals a page; with ``renew``, or without a secret yet, by a new ``secret``."""
    path, frame = f"players/{name}.yaml", base.records.frames[name].record
    text = with_value(base.text(path) or "", "sealed", "yes", Frame.model_fields)
    fresh = renew or not frame.secret
    if fresh:
        text = with_value(text, "secret", secret, Frame.model_fields)
    lines = [
        f"{path}:",
        "  sealed: yes",
        (worded("  secret: a new one") if fresh else worded("  secret: the one that it has")),
    ]
    summary = f"{frame.number or name} {frame.label} sealed{' with a new secret' if fresh else ''}"
    return Change({path: text}, "\n".join(lines), summary=summary)


def opened(base: Base, *, name: str, renew: bool, secret: str) -> Change:
    """The change that takes the seal off."""
    path, frame = f"players/{name}.yaml", base.records.frames[name].record
    text = with_value(base.text(path) or "", "sealed", "no", Frame.model_fields)
    return Change(
        {path: text},
        f"{path}:\n  sealed: yes → no",
        summary=f"{frame.number or name} {frame.label} opened",
    )
