"""Reads results files with h5py, also into those that a run is writing to."""

import os

os.environ["HDF5_USE_FILE_LOCKING"] = "FALSE"  # readers next to a running writer
import h5py  # noqa: E402  (reads the variable when it is loaded)
import numpy as np  # noqa: E402

MISSING = 0  # value of `status`


def states(path):
    """Name of the header group -> status of its points; None while there is no file."""
    try:
        with h5py.File(path) as file:
            return {name: file["headers/" + name]["status"][()]
                    for name in file.attrs["header_groups"]}
    except FileNotFoundError:
        return None


def finished(path):
    """Number of runs that are in the file, of all headers and variants; -1 without a file."""
    by_group = states(path)
    if by_group is None:
        return -1
    return sum(int(np.count_nonzero(status != MISSING)) for status in by_group.values())


class Watch:
    """Counts what `finished` counts, but quickly, so that the watched run has the machine to
    itself: the statuses are read from their places, which never change once the file is there."""

    def __init__(self, path):
        self.path = path
        self.places = None

    def finished(self):
        if self.places is None:
            try:
                with h5py.File(self.path) as file:
                    groups = [file["headers/" + n] for n in file.attrs["header_groups"]]
                    self.places = [(g["status"].id.get_offset(), len(g["status"])) for g in groups]
            except FileNotFoundError:
                return -1
        with open(self.path, "rb") as file:
            return sum(size - os.pread(file.fileno(), size, start).count(MISSING)
                       for start, size in self.places)


def total(path):
    return sum(len(status) for status in states(path).values())


def datasets(path):
    """Every dataset and attribute as bytes or texts, but for when and how long was computed."""
    content = {}

    def keep(name, item):
        if isinstance(item, h5py.Dataset) and name.rsplit("/", 1)[-1] != "wall_seconds":
            text = item.dtype.kind == "O"
            content[name] = list(item.asstr()) if text else (item.dtype.str, item[()].tobytes())
            if name.rsplit("/", 1)[-1] == "checksum":
                checked = list(item.parent["checked_variable"].asstr())
                content[name] = np.delete(item[()], checked.index("wall_seconds"), 1).tolist()

    with h5py.File(path) as file:
        file.visititems(keep)
        for name, value in file.attrs.items():
            if name != "date":
                content["attribute " + name] = np.asarray(value).tolist()
    return content


def differing(one, other):
    """Names of the datasets that are not the same bit for bit."""
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))
