"""How parts are held in and on each other, in words."""

from balance.machine.joint import Hub, Joint
from designs.changing.edit import text
from designs.shown import file_words


def fixing(joint: Joint) -> str:
    """Return what a joint is, in metric words as a file has them: another one is another part."""
    if joint.kind == "set screws":
        return _screws(joint, "set screw")
    if joint.kind == "clamped":
        return f"clamped by {_screws(joint, 'screw')}"
    if joint.kind == "pinned" and joint.pin is not None:
        return f"pinned, {text(float(joint.pin.diameter), 'm')} across"
    if joint.kind == "pressed" and joint.interference is not None:
        return f"pressed, interference at least {text(float(joint.interference) * 1e6, '')} um"
    return ", ".join(filter(None, (joint.kind, joint.thread)))


def held(joint: Joint | None) -> str:
    """Return in words how something is held and how deep; empty if that is not given."""
    if joint is None:
        return ""
    way = "long" if isinstance(joint, Hub) else "deep"
    deep = "" if joint.length is None else f"{text(float(joint.length), 'm')} {way}"
    return file_words(", ".join(filter(None, (fixing(joint), deep))))


def _screws(joint: Joint, name: str) -> str:
    return f"{joint.screws} {name}{'s' * (joint.screws > 1)} {joint.thread or ''}".strip()
