"""What a search has done, kept as it goes: one file a block, whole or not there at all.

A folder has one owner at a time, by a lock that dies with its process however that ends. Each block carries the
options that it is about; one that is damaged, or about others, is named and done again.
"""

import errno
import hashlib
import io
import json
import os
import re
import sys
import weakref
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np

from designs.options.batch import Verdicts
from designs.whole_file import write_whole

HEADER, LOCK = "search.json", "search.lock"
OURS = re.compile(r"search\.(json|lock)|\d{6,}\.npz|\.\w+\.part\.(npz|json)")
"""Names of the files in such a folder."""
FORM = 2  # of the files; a change here makes older ones unreadable, and says so


class OtherSearchError(ValueError):
    """A folder that holds the results of another search, or no results at all, or that another run works in."""


class Journal:
    """The blocks of one search in a folder; without a folder, nothing is kept.

    Raises OtherSearchError if the folder holds something else or another run works in it, and OSError, which names
    the folder, where nothing can be kept in it.
    damaged : files whose blocks were done again.
    """

    def __init__(self, folder: Path | None, keys: tuple[str, ...], fingerprint: str):
        self._folder, self._keys = folder, keys
        self.damaged: list[Path] = []
        if folder is not None:
            try:
                self._open(folder, {"form": FORM, "keys": list(keys), "search": fingerprint})
            except OSError as error:
                raise _about(folder, error) from error

    def _open(self, folder: Path, header: dict[str, Any]) -> None:
        if folder.exists() and not (folder.is_dir() and all(OURS.fullmatch(each.name) for each in folder.iterdir())):
            raise OtherSearchError(f"{folder}: it exists already and holds no search")
        folder.mkdir(exist_ok=True)
        weakref.finalize(self, os.close, _locked(folder))
        for part in folder.glob(".*.part.*"):
            part.unlink()  # of a run that was ended while it wrote
        file = folder / HEADER
        if not file.is_file():
            write_whole(file, lambda part: part.write_text(json.dumps(header, indent=1), "utf-8"), replace=True)
        try:
            written = json.loads(file.read_text("utf-8"))
        except ValueError:
            written = None
        if written != header:
            raise OtherSearchError(
                f"{folder}: it holds the results of another search, or of another version of the design"
            )

    def _file(self, number: int) -> Path:
        assert self._folder is not None
        return self._folder / f"{number:06d}.npz"

    def __contains__(self, number: int) -> bool:
        return self._folder is not None and self._file(number).is_file()

    def verdicts(self, number: int, values: np.ndarray) -> Verdicts | None:
        """Return what came of a block, None if it was not done, or its file is damaged or about other options."""
        if number not in self:
            return None
        file = self._file(number)
        kept = _unpacked(file.read_bytes(), self._keys, values)
        if kept is None:
            self.damaged.append(file)
        return kept

    def keep(self, number: int, values: np.ndarray, verdicts: Verdicts) -> None:
        """Keep what came of a block; raises OSError, which names the folder."""
        if self._folder is None:
            return
        arrays = {name: getattr(verdicts, name) for name in KINDS}

        def save(part: Path) -> None:
            with part.open("wb") as file:
                np.savez(file, options=values, **arrays)

        try:
            write_whole(self._file(number), save, replace=True)
        except OSError as error:
            raise _about(self._folder, error) from error


KINDS = {"legal": "b", "values": "f", "margins": "f", "passed": "b"}
"""What a block holds beside its options, and the kind of each array."""


def _unpacked(content: bytes, keys: tuple[str, ...], values: np.ndarray) -> Verdicts | None:
    """Return the verdicts in a block's file, None unless it is sound and about these options."""
    try:
        with np.load(io.BytesIO(content), allow_pickle=False) as archive:
            arrays = {name: archive[name] for name in ("options", *KINDS)}
    except Exception:  # a damaged archive fails in any of many ways, and all mean the same here
        return None
    count = values.shape[1]
    shapes = {"legal": (count,)}
    fits = all(
        (arrays[name].shape, arrays[name].dtype.kind) == (shapes.get(name, (len(keys), count)), kind)
        for name, kind in KINDS.items()
    )
    if not fits or not np.array_equal(arrays["options"], values):
        return None
    return Verdicts(keys, *(arrays[name] for name in KINDS))


def _about(folder: Path, error: OSError) -> OSError:
    return OSError(error.errno, error.strerror or str(error), str(folder))


def _locked(folder: Path) -> int:
    """Return the folder's lock as an open file's number; no process that this one starts holds it too."""
    lock = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        if sys.platform == "win32":
            import msvcrt  # only there

            msvcrt.locking(lock, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # everywhere else

            fcntl.lockf(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        os.close(lock)
        if error.errno not in (errno.EACCES, errno.EAGAIN, errno.EDEADLK):
            raise
        raise OtherSearchError(
            f"{folder}: another search works in it at this moment; allowed: wait, or another folder"
        ) from None
    return lock


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
