"""What a search has done, kept as it goes: one file a block, whole or not there at all, never rewritten."""

import hashlib
import json
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np

from designs.options.batch import Verdicts
from designs.whole_file import write_whole

HEADER = "search.json"
FORM = 1  # of the files; a change here makes older ones unreadable, and says so


class OtherSearchError(ValueError):
    """A folder that holds the results of another search, or no results at all."""


class Journal:
    """The blocks of one search in a folder; without a folder, nothing is kept.

    Raises OtherSearchError if the folder holds something else.
    """

    def __init__(self, folder: Path | None, keys: tuple[str, ...], fingerprint: str):
        self._folder, self._keys = folder, keys
        if folder is not None:
            self._open(folder, {"form": FORM, "keys": list(keys), "search": fingerprint})

    def _open(self, folder: Path, header: dict[str, Any]) -> None:
        file = folder / HEADER
        if file.is_file():
            try:
                found = json.loads(file.read_text("utf-8"))
            except ValueError:
                found = None
            if found != header:
                raise OtherSearchError(
                    f"{folder}: it holds the results of another search, or of another version of the design"
                )
        elif folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise OtherSearchError(f"{folder}: it exists already and holds no search")
        else:
            folder.mkdir(exist_ok=True)
            write_whole(file, lambda part: part.write_text(json.dumps(header, indent=1), "utf-8"), replace=True)

    def _file(self, number: int) -> Path:
        assert self._folder is not None
        return self._folder / f"{number:06d}.npz"

    def __contains__(self, number: int) -> bool:
        return self._folder is not None and self._file(number).is_file()

    def verdicts(self, number: int, values: np.ndarray) -> Verdicts | None:
        """Return what came of a block, None if it was not done, or its options had other values."""
        if number not in self:
            return None
        with np.load(self._file(number), allow_pickle=False) as found:
            if not np.array_equal(found["options"], values):
                raise OtherSearchError(f"{self._file(number)}: its options are not those of this search")
            return Verdicts(self._keys, *(found[name] for name in ("legal", "values", "margins", "passed")))

    def keep(self, number: int, values: np.ndarray, verdicts: Verdicts) -> None:
        """Keep what came of a block."""
        if self._folder is None:
            return
        arrays = {name: getattr(verdicts, name) for name in ("legal", "values", "margins", "passed")}

        def save(part: Path) -> None:
            with part.open("wb") as file:
                np.savez(file, options=values, **arrays)

        write_whole(self._file(number), save, replace=True)


def fingerprint(*things: Any) -> str:
    """Return a short text that differs if any number or word in a design or a search does."""
    digest = hashlib.sha256()
    for each in things:
        _feed(digest, each)
    return digest.hexdigest()


def _feed(digest: Any, thing: Any) -> None:
    if is_dataclass(thing) and not isinstance(thing, type):
        digest.update(type(thing).__name__.encode())
        for each in fields(thing):
            _feed(digest, (each.name, getattr(thing, each.name)))
    elif isinstance(thing, dict):
        _feed(digest, tuple(thing.items()))
    elif isinstance(thing, tuple | list):
        digest.update(f"[{len(thing)}".encode())
        for each in thing:
            _feed(digest, each)
    else:
        text = repr(thing.tolist()) if isinstance(thing, np.ndarray) else repr(thing)
        digest.update(f"{text};".encode())
