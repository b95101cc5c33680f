"""Changes to a design before it is built: the new entries of an option.

A change is a path of keys joined by dots and the entry that shall stand there. `*` goes over all
entries of a list or of named entries; a number picks one entry of a list, counted from 0. A tree is
never altered: what is returned shares all that did not change.
"""

from collections.abc import Iterator

from designs.reading.complaints import BadFile, Place, Placed, alike, bad, listed, nearest, quote
from designs.reading.nodes import Entries, Items, Node, shown

OPTIONS = "options"
DEEPEST = 40  # keys in a path, as levels of nesting in a file


class _NoSuchKey(Exception):
    """A path that leads nowhere: the key that failed and those that would have led on."""

    def __init__(self, key: str, known: tuple[str, ...], read: str):
        super().__init__(key, known, read)
        self.key, self.known, self.found = key, known, read


def names(tree: Entries) -> tuple[str, ...]:
    """Return the names of the options of a design; raises BadFile if they are no named entries."""
    return tuple(_options(tree).entries)


def changed(tree: Entries, option: str) -> Entries:
    """Return a design's tree with the changes of one option made.

    Raises BadFile if there is no such option, or with a complaint for each path that leads nowhere.
    """
    options = _options(tree)
    if option not in options.entries:
        option_named = next(alike(option, options.entries), None)
        if option_named is None:
            known = listed(options.entries) or "no option; this design has none"
            raise bad(options.place, f"the option {quote(option)}", known, (OPTIONS,), nearest(option, options.entries))
        option = option_named
    return _with_changes(tree, option, options.entries[option])


def _options(tree: Entries) -> Entries:
    written = next(alike(OPTIONS, tree.entries), None)
    options = Entries({}, {}, tree.place) if written is None else tree.entries[written]
    if not isinstance(options, Entries):
        raise bad(options.place, shown(options), "options by name, each with its changes", (OPTIONS,))
    return options


def _with_changes(tree: Entries, option: str, changes: Node) -> Entries:
    where = (OPTIONS, option)
    if not isinstance(changes, Entries):
        raise bad(changes.place, shown(changes), "changes, e.g. {limits.gap: 0.3 mm}", where)
    complaints: list[Placed] = []
    for path, new in changes.entries.items():
        if path.count(".") >= DEEPEST:
            read = f"a path of {path.count('.') + 1:,} keys"
            complaints += bad(changes.keys[path], read, f"at most {DEEPEST}", where).complaints
            continue
        try:
            tree = _changed_at(tree, path, new, changes.keys[path])
        except _NoSuchKey as error:
            complaints += _complaint(error, changes.keys[path], (*where, path)).complaints
    if complaints:
        raise BadFile(*complaints)
    return tree


def found_at(tree: Node, path: str) -> Iterator[Node]:
    """Yield what stands at a path: nothing, one node, or with `*` in it perhaps several."""
    yield from _found(tree, _split(path))


def _found(node: Node, keys: list[str]) -> Iterator[Node]:
    if not keys:
        yield node
        return
    for name, rest in _matches(node, keys):
        yield from _found(_inner(node)[name], rest)


def _complaint(error: _NoSuchKey, position: Place, where: tuple[str, ...]) -> BadFile:
    allowed = listed(error.known) or "the whole of it replaced"
    return bad(position, f"{quote(error.key)}, in {error.found}", allowed, where, nearest(error.key, error.known))


def _split(path: str) -> list[str]:
    return path.split(".")


def _inner(node: Node) -> dict[str, Node]:
    """Return what stands inside a node by key; nothing for a single value."""
    if isinstance(node, Entries):
        return node.entries
    return {str(n): each for n, each in enumerate(node.items)} if isinstance(node, Items) else {}


def _matches(node: Node, keys: list[str]) -> list[tuple[str, list[str]]]:
    """Return the names in a node that the next key means, each with the keys then left.

    A name may have dots of its own, so the next keys are also tried together.
    """
    inner = _inner(node)
    if keys[0].strip() == "*":
        return [(name, keys[1:]) for name in inner]
    for count in range(1, len(keys) + 1):
        together = ".".join(keys[:count]).strip()
        for name in (together, *alike(together, inner)):
            if name in inner:
                return [(name, keys[count:])]
    return []


def _changed_at(tree: Entries, path: str, new: Node, position: Place) -> Entries:
    changed = _put(tree, _split(path), new, position)
    assert isinstance(changed, Entries)  # a path has one key at least, so the whole is never replaced
    return changed


def _put(node: Node, keys: list[str], new: Node, position: Place) -> Node:
    """Return a node with a new one at the end of a path; `position` is where the path was written."""
    if not keys:
        return new
    matches = _matches(node, keys)
    key = keys[0].strip()
    if not matches and len(keys) == 1 and key not in ("", "*") and isinstance(node, Entries):
        return _with_entry(node, key, new, position)
    if not matches:
        raise _NoSuchKey(key, tuple(_inner(node)), shown(node))
    return _put_in_each(node, matches, new, position)


def _put_in_each(node: Node, matches: list[tuple[str, list[str]]], new: Node, position: Place) -> Node:
    """Return a node with the new one in every match that the path leads on from; one at least must."""
    failures: list[_NoSuchKey] = []
    for name, rest in matches:
        try:
            node = _with_entry(node, name, _put(_inner(node)[name], rest, new, position), position)
        except _NoSuchKey as error:
            failures.append(error)
    if len(failures) == len(matches):
        raise failures[0]
    return node


def _with_entry(node: Node, name: str, new: Node, position: Place) -> Node:
    if isinstance(node, Items):
        return Items(tuple(new if str(n) == name else each for n, each in enumerate(node.items)), node.place)
    assert isinstance(node, Entries)
    return Entries({**node.entries, name: new}, {name: position, **node.keys}, node.place)
