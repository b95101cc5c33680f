"""A design file that is being changed: what is on disk, what it is now, undo and redo, and saving."""

from dataclasses import dataclass, replace
from pathlib import Path

from designs.design import Design
from designs.live.draft import Draft, Keys, as_value, changes, flow, moved_along, read_draft, with_values
from designs.reading import BadFile, design_of
from designs.reading.changes import OPTIONS, changed, names
from designs.reading.complaints import Place, bad
from designs.reading.nodes import text_of
from designs.reading.placing import node_at
from designs.whole_file import write_back

MOST_STEPS = 500  # that can be undone
GONE = "{} at {}: the file on disk no longer has the item of its list in which this was changed; undo brings it back."


class Refused(ValueError):
    """What cannot be done now, and why, in a sentence for people."""


@dataclass(frozen=True, eq=False)
class Disk:
    """A file as it was read.   line_end : how its lines end, put back as it is saved; None where they differ."""

    content: bytes
    draft: Draft
    line_end: str | None
    mark: bytes = b""

    def as_bytes(self, text: str) -> bytes:
        """Return a text as the file has it: byte mark and line ends as they were."""
        return self.mark + (text if self.line_end is None else text.replace("\n", self.line_end)).encode()


@dataclass(frozen=True, eq=False)
class Own:
    """What was changed here.   draft : with it.   upon : the file as it was.   entries, options : by keys."""

    draft: Draft
    upon: Draft
    entries: dict[Keys, str]
    options: dict[Keys, str]


BYTE_MARK = b"\xef\xbb\xbf"


def as_read(content: bytes, path: Path, allow_above: bool) -> Disk:
    """Return the bytes of a file as a draft and how it is written."""
    both = content.count(b"\r\n")
    windows = both > 0 and both == content.count(b"\n")
    plain = content.replace(b"\r\n", b"\n") if windows else content
    draft = read_draft(plain, path, allow_above)
    end = "\r\n" if windows else "\n" if not both else None
    return Disk(content, draft, end, BYTE_MARK if content.startswith(BYTE_MARK) else b"")


def option_names(draft: Draft) -> tuple[str, ...]:
    """Return the names of the redesigns in a draft; none where they cannot be read."""
    try:
        return () if draft.tree is None else names(draft.tree)
    except BadFile:
        return ()


class Session:
    """One design file, looked at and changed.

    disk : the file as it was last read well-formed.   draft : the text as it is now.   good : the last draft that is a
    design, which is what all figures are of.   version : grows with every change of the draft.
    lost : changes, in words, that the file has no place for any more since it was changed on disk.
    """

    def __init__(self, path: Path, allow_above: bool = False):
        """Read the file; raises BadFile with every complaint if it is no design."""
        self.path, self.allow_above = path, allow_above
        self.disk = as_read(path.read_bytes(), path, allow_above)
        if self.disk.draft.design is None:
            raise BadFile(*self.disk.draft.complaints)
        self.draft = self.good = self.disk.draft
        self.unread: Draft | None = None
        self.lost: list[str] = []
        self.version = 0
        self._carried: Own | None = None
        self._past: list[Draft] = []
        self._future: list[Draft] = []
        self._gesture: str | None = None

    @property
    def design(self) -> Design:
        """The design that all figures are of."""
        assert self.good.design is not None
        return self.good.design

    @property
    def complaints(self) -> list[str]:
        """What the reader says of the draft, or of the file where an editor has made it unreadable."""
        return [str(each) for each in (self.unread or self.draft).complaints]

    @property
    def saved(self) -> bool:
        """Whether nothing would be lost."""
        return self.draft.text == self.disk.draft.text

    @property
    def steps(self) -> tuple[int, int]:
        """How many steps can be undone and done again."""
        return len(self._past), len(self._future)

    @property
    def differs(self) -> dict[Keys, str]:
        """Every entry that is otherwise than on disk, as a file says it."""
        if self.draft.tree is None or self.disk.draft.tree is None:
            return {}
        return changes(self.disk.draft.tree, self.draft.tree)

    @property
    def typed(self) -> dict[Keys, str]:
        """Every entry of the draft that is otherwise than in the design that all figures are of, as it was typed."""
        if self.draft.tree is None or self.good.tree is None:
            return {}
        return {keys: text_of(node_at(self.draft.tree, keys)[0]) for keys in changes(self.good.tree, self.draft.tree)}

    @property
    def options(self) -> tuple[str, ...]:
        """The names of the redesigns in the draft."""
        return option_names(self.good)

    def option(self, name: str) -> Draft:
        """Return a redesign of the draft; raises BadFile where it cannot be read."""
        return self._option_of(self.good, name)

    def _option_of(self, draft: Draft, name: str) -> Draft:
        assert draft.tree is not None
        tree = changed(draft.tree, name)
        return Draft(draft.text, tree, design_of(tree, self.path, self.allow_above))

    # Changing

    def edit(self, values: dict[Keys, str], gesture: str | None = None) -> None:
        """Change entries, as a file says them; changes of one gesture, as of one slider's way, are one step."""
        if self.draft.tree is None:
            raise Refused("The file cannot be read as it is; mend it in an editor, or undo.")
        text = with_values(self.draft, {keys: as_value(each) for keys, each in values.items()})
        new = self._read(text)
        if new.tree is None:
            raise Refused(f"The file would no longer be one: {new.complaints[0]}")
        if new.text != self.draft.text:
            self._step(new, gesture)

    def undo(self) -> None:
        """Go one step back."""
        if not self._past:
            raise Refused("There is nothing to undo.")
        self._future.append(self.draft)
        self._become(self._past.pop())

    def redo(self) -> None:
        """Do again what was undone."""
        if not self._future:
            raise Refused("There is nothing to do again.")
        self._past.append(self.draft)
        self._become(self._future.pop())

    def keep(self, name: str) -> None:
        """Keep what differs from the file on disk as an option of it; the entries themselves are as they were."""
        name = " ".join(name.split())
        differs = self.differs
        if not name or len(name) > 80:
            raise Refused("Give the option a name of up to 80 letters.")
        if not differs:
            raise Refused("Nothing differs from the file on disk, so there is nothing to keep.")
        if name in self.options:
            raise Refused(f"There is an option of this name already: {name}.")
        if self.draft.design is None:
            raise Refused("There are complaints; mend them first.")
        said: dict[Keys, str] = {
            (OPTIONS, as_value(name), as_value(".".join(keys))): each for keys, each in differs.items()
        }
        others = self._other_options()
        base = self._read(with_values(self.disk.draft, others)) if others else self.disk.draft
        new = self._read(with_values(base, said))
        try:
            if new.design is None:
                raise BadFile(*new.complaints)
            self._option_of(new, name)
        except BadFile as error:
            raise Refused(f"It could not be kept: {error.complaints[0]}") from None
        self._step(new)

    def _read(self, text: str) -> Draft:
        return read_draft(text, self.path, self.allow_above)

    def _other_options(self) -> dict[Keys, str]:
        """Return options that were kept before and are not on disk yet."""
        fresh = [each for each in option_names(self.draft) if each not in option_names(self.disk.draft)]
        tree = self.draft.tree
        return {} if tree is None else {
            (OPTIONS, as_value(each)): flow(node_at(tree, (OPTIONS, each))[0]) for each in fresh
        }  # fmt: skip

    def _step(self, new: Draft, gesture: str | None = None) -> None:
        if gesture is None or gesture != self._gesture:
            self._past = [*self._past[1 - MOST_STEPS :], self.draft]
        self._gesture = gesture
        self._future.clear()
        self._become(new, gesture)

    def _become(self, new: Draft, gesture: str | None = None) -> None:
        self.draft, self._gesture, self.lost = new, gesture, []
        if new.design is not None:
            self.good = new
        self.version += 1

    # The file

    def save(self) -> None:
        """Write the draft into its file, whole or not at all; refused where the file is otherwise than it was read."""
        if self.draft.design is None:
            raise Refused(f"Not saved, for it would be no design: {self.draft.complaints[0]}")
        content = self.disk.as_bytes(self.draft.text)
        try:
            written = write_back(self.path, content, self.disk.content)
        except OSError as error:
            raise Refused(f"Not saved: {error.strerror or error}.") from None
        if not written:
            raise Refused(
                "Not saved: the file was changed on disk meanwhile. Look at it as it is now, then save again."
            )
        self.disk, self._carried = Disk(content, self.draft, self.disk.line_end, self.disk.mark), None
        self.version += 1

    def is_behind(self) -> bool:
        """Whether the file is otherwise than it was read last."""
        try:
            return self.unread is not None or self.path.read_bytes() != self.disk.content
        except OSError:
            return True

    def follow(self) -> bool:
        """Take up what an editor has made of the file, with what was changed here put upon it; return if it is new."""
        try:
            content = self.path.read_bytes()
        except OSError as error:
            return self._cannot_read(error)
        if content == self.disk.content:
            was_unread, self.unread = self.unread, None
            self.version += was_unread is not None
            return was_unread is not None
        found = as_read(content, self.path, self.allow_above)
        if found.draft.tree is None:
            self.unread = found.draft
            self.version += 1
            return True
        own, self.unread = self._own, None
        assert own.upon.tree is not None
        places = {keys: moved_along(keys, own.upon.tree, found.draft.tree) for keys in own.entries}
        values = {place: own.entries[keys] for keys, place in places.items() if place is not None} | own.options
        self.disk = found
        new = self._read(with_values(found.draft, values)) if values else found.draft
        self._step(new if new.tree is not None else found.draft)
        self.lost = [GONE.format(".".join(keys), own.entries[keys]) for keys, place in places.items() if place is None]
        # A file that is no design may be half written: what comes next gets these changes, not what they became here.
        self._carried = None if found.draft.design is not None else replace(own, draft=self.draft)
        return True

    @property
    def _own(self) -> Own:
        """What was changed here; upon the last file that was a design, as long as nothing was changed since."""
        if self._carried is not None and self._carried.draft is self.draft:
            return self._carried
        return Own(self.draft, self.disk.draft, self.differs, {} if self.saved else self._other_options())

    def _cannot_read(self, error: OSError) -> bool:
        known = self.unread is not None and self.unread.text == ""
        complaint = bad(Place(self.path.name), error.strerror or str(error), "a design file that can be read")
        self.unread = Draft("", None, None, complaint.complaints)
        self.version += not known
        return not known
