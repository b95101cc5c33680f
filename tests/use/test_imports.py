"""Imports go one way: no file is reached again from what it imports, not even for types."""

import grimp
import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

PACKAGES = ("balance", "shafts", "designs")
BEGINNING = ("designs.start", "designs.command")  # loads the command once it can tell what is missing


def test_no_file_is_reached_again_from_what_it_imports() -> None:
    graph = grimp.build_graph(*PACKAGES, exclude_type_checking_imports=False, cache_dir=None)
    names = sorted(graph.modules)
    pairs = [(one, other) for one in names for other in graph.find_modules_directly_imported_by(one)]
    assert len(pairs) > 1000
    places = np.array([[names.index(each) for each in pair] for pair in pairs if pair != BEGINNING]).T
    imports = csr_array((np.ones(places.shape[1]), tuple(places)), shape=(len(names), len(names)))
    _, circle = connected_components(imports, connection="strong")
    shared = np.flatnonzero(np.bincount(circle) > 1)
    assert [[name for name, each in zip(names, circle, strict=True) if each == one] for one in shared] == []
