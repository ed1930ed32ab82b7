#!/usr/bin/python3
"""Opens a results file with h5py and with xarray (h5netcdf and netcdf4), as a user would.

Without arguments: lets the program named by POINT_WRITER_PROGRAM write the invented study and what
it must hold, and compares everything. A module that is missing is a failure.

  --compare PREFIX FILE...   every finished point of each file equals the point of PREFIX<n>.h5,
                             where n is the time stored with it (for files of a killed writer)
  --compress FILE            rewrites the datasets of the points chunked and compressed
"""

import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

import h5netcdf  # noqa: F401  (an engine of xarray, which would only fail when it is used)
import h5py
import netCDF4  # noqa: F401
import numpy as np
import xarray

FOLDER = pathlib.Path(__file__).resolve().parent
PAGE = FOLDER.parent.parent / "tools" / "results" / "FORMAT.md"
BOOKKEEPING = {"status", "wall_seconds", "failure_text", "traces_stored", "tails_stored",
               "probes_stored", "checksum"}
COORDINATES = {
    "speed": ("rpm", np.float64), "cylinder": ("1", np.int32), "merge_name": (None, object),
    "slot": ("1", np.int32), "pipe_name": (None, object), "tail_name": (None, object),
    "probe": (None, object),
    "crank_angle": ("degree", np.float64), "engine_angle": ("degree", np.float64),
    "diagram_speed": ("rpm", np.float64), "diagram_angle": ("degree", np.float64),
    "distance": ("m", np.float64), "diagram_pipe": (None, object),
    "checked_variable": (None, object),
}
# Spellings that the UDUNITS-2 database knows: https://docs.unidata.ucar.edu/udunits/current/
UDUNITS = {"1", "rpm", "Hz", "Pa", "K", "N m", "W", "kg", "J", "m", "s", "kg s-1", "m3 s-1", "m s-1",
           "degree", "degree m-1"}
ENGINES = ("h5netcdf", "netcdf4")

failures = []
checks = 0


def check(holds, what):
    global checks
    checks += 1
    if not holds:
        failures.append(what)
        print("FAILED:", what, file=sys.stderr)


def same(values, expected):
    """Equal bit for bit, NaN included."""
    values, expected = np.asarray(values), np.asarray(expected)
    if values.dtype.kind in "OSU":
        return values.shape == expected.shape and bool(np.all(values == expected))
    return values.shape == expected.shape and np.array_equal(values, expected, equal_nan=True)


def header_groups(file):
    return {name: file["headers/" + name] for name in file.attrs["header_groups"]}


def is_header_dataset(item):
    return isinstance(item, h5py.Dataset)


def rows_of_page(root=False, only=None):
    """Name -> (dimensions, type, unit) of the tables in the format page; two columns may follow. Of
    the section on the root or of all others, or of one alone."""
    rows = {}
    section = ""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        if line.startswith("## "):
            section = line[3:]
        if (section == "The root") != root or (only and section != only):
            continue
        parts = re.fullmatch(r"\| `(\w+)` \| ([\w, ]+) \| (\w+) \| ([^|]*?) ?\| ([^|]+) \|"
                             r"(?: \w+ \| \w+ \|)?", line)
        if parts:
            rows[parts[1]] = (tuple(parts[2].split(", ")), parts[3], parts[4])
    return rows


def expected_array(name, group, expected, speeds):
    """What the dataset must hold: written values, and fill values for points without numbers."""
    dataset = group[name]
    fill = -1 if dataset.dtype.kind == "i" else np.nan
    result = np.full(dataset.shape, fill, dataset.dtype)
    diagram = name.startswith("diagram_")
    for record, speed in enumerate([1, 3] if diagram else range(speeds)):
        if group["status"][speed] in (0, 3):
            continue
        values = [np.nan if value is None else value for value in expected[speed]]
        result[record] = np.array(values, dataset.dtype).reshape(result[record].shape)
    return result


def check_root(file):
    attributes = file.attrs
    check(attributes["format"] == "pulsewright-results", "root: format")
    check(attributes["format_version"] == 4, "root: format version")
    check(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", attributes["date"]), "root: date")
    check(attributes["title"] == "Invented example, not an engine", "root: title")
    check(attributes["case_file"] == "cases/invented.toml", "root: case file")
    check('bore = "94 mm"' in attributes["case_text"], "root: case text")
    check(json.loads(attributes["settings"]) ==
          {"courant": 0.8, "tolerance": 1e-3, "most_cycles": 40, "quick": True,
           "band_from_hz": 2500 / 60, "band_to_hz": 5500 / 60, "build_tolerance_m": 0.1 / 30},
          "root: settings")
    check(attributes["program_version"] == "0.0.0", "root: program version")
    check(attributes["commit"] == "0123456", "root: commit")
    check(attributes["ambient_pressure"] == 98765.4321, "root: ambient pressure")
    check(attributes["ambient_temperature"] == 300.1, "root: ambient temperature")
    check(list(attributes["junction_laws"]) == ["momentum"], "root: junction laws")
    check(list(attributes["cell_sizes"]) == [0.01, 0.02], "root: cell sizes")
    check(same(file["speed"], [2500, 3000, 4000, 5500]), "root: speeds")
    check_root_figures(file)


def at_root():
    """Name -> (type, unit) of the variables that the page puts at the root, over header and speed."""
    figures = rows_of_page(only="Figures of a point")
    figures.pop("rotation_rate")
    return {name: row[1:] for name, row in figures.items()} | {"status": ("int8", "")}


def check_root_figures(file):
    """Those of the page, with the bytes of the header's group; names of headers as people know them."""
    headers = [g for n, g in header_groups(file).items() if "/variants/" not in n]
    names = [group.attrs["name"] for group in headers]
    coordinates = rows_of_page(root=True)
    check(set(coordinates) == {"speed", "rotation_rate", "header", "header_group"}, "page: root")
    check(list(file["header"].asstr()) == names, "root: header")
    check(list(file["header_group"].asstr()) == [g.name.split("/", 2)[2] for g in headers],
          "root: groups")
    check(set(file) == {*coordinates, *at_root(), "headers"}, "root: nothing else")
    for name, (kind, unit) in at_root().items():
        dataset, here = file[name], "root: " + name
        check(str(dataset.dtype) == kind, here + ": type " + str(dataset.dtype))
        check(dataset.attrs.get("units", "") == unit, here + ": unit")
        check(dataset.attrs["long_name"] == headers[0][name].attrs["long_name"], here + ": name")
        check([d[0].name for d in dataset.dims] == ["/header", "/speed"], here + ": dimensions")
        values = np.array([group[name][()] for group in headers])
        check(dataset[()].tobytes() == values.tobytes(), here + ": values")
        some = values[np.isfinite(values) & (values != -1)]
        check(len(some) == (12 if name == "status" else 10), here + ": of every point but two")


def check_root_with_xarray(path, engine):
    """Every figure of all headers by name, without a word of our own."""
    where = engine + " root: "
    with xarray.open_dataset(path, engine=engine) as data:
        check(set(data.data_vars) == {*at_root(), "rotation_rate", "header_group"},
              where + "variables")
        check(dict(data.sizes) == {"header": 3, "speed": 4}, where + "dimensions")
        one = data.torque.sel(header="Invented stepped", speed=3000).item()
        with h5py.File(path) as file:
            check(one == file["headers/stepped/torque"][1], where + "selection by name and speed")
            missing = np.isnan(data.cycles.values)
            check(same(missing, file["status"][()] % 3 == 0), where + "missing whole numbers")
        table = data.torque.to_pandas().T
        check(list(table) == ["Invented equal-length", "Invented stepped", "Invented pipe-only"],
              where + "a column for each header")


def check_no_name_is_a_method(file):
    """data.torque must be the torque: https://docs.xarray.dev, Dataset and DataArray."""
    taken = set(dir(xarray.Dataset)) | set(dir(xarray.DataArray))
    names = set()
    file.visit(lambda name: names.add(name.rsplit("/", 1)[-1]))
    clashes = {name for name in names if name in taken} - {"variants", "headers"}
    check(not clashes, f"names that xarray uses itself: {sorted(clashes)}")
    check("mean" in taken and len(names) > 100, "names were compared")


def check_group_with_h5py(group, expected, rows):
    where = group.name + ": "
    status = [0, 2, 1, 3] if group.attrs["kind"] == "stepped-length" else [1, 2, 1, 1]
    check(same(group["status"], status), where + "status")
    check(set(group.attrs) == {"name", "kind", "junction_law", "requested_cell_size", "grouping",
                               "merge_slots", "traces_kept"}, where + "attributes")
    for name, dataset in group.items():
        if not is_header_dataset(dataset):
            continue
        here = where + name
        check(name in rows or name == "text_byte", here + ": not in the format page")
        if name == "text_byte":
            continue
        dimensions, kind, unit = rows[name]
        check(dataset.attrs.get("units", "") == unit, here + ": unit")
        check(unit == "" or unit in UDUNITS, here + ": unit is not a UDUNITS spelling")
        check(dataset.attrs["long_name"], here + ": long name")
        stored = {"text": "object", "char": "|S1"}.get(kind, kind)
        check(str(dataset.dtype) == stored, here + ": type " + str(dataset.dtype))
        if name in COORDINATES:
            check(h5py.h5ds.is_scale(dataset.id), here + ": is a dimension scale")
            continue
        labels = tuple(dimension[0].name.rsplit("/", 1)[1] for dimension in dataset.dims)
        check(labels == dimensions, here + ": dimensions " + str(labels))
        if name in BOOKKEEPING or name == "diagram_pipe_start":
            continue
        check(name in expected, here + ": holds something that was never written")
        if name in expected:
            values = expected_array(name, group, expected[name], len(status))
            check(same(dataset[()], values), here + ": values")
    for name in expected:
        some = any(expected[name][1]) if expected[name] else False
        check(name in group or not some, where + name + ": was written, is not in the file")


def check_coordinates(group):
    where = group.name + ": "
    check(list(group["cylinder"]) == [1, 8, 4, 3], where + "cylinder")
    check(list(group["merge_name"].asstr()) == ["left collector", "Sammler rechts ü"], where + "merge")
    check(list(group["slot"]) == [1, 2, 3], where + "slot")
    kept = "coarse" not in group.name
    check(group.attrs["traces_kept"] == kept, where + "traces kept")
    for name in ("crank_angle", "engine_angle"):
        check((name in group) == kept, where + name + " is there with traces only")
        if name in group:
            check(same(group[name], np.arange(12) * 60.0), where + name)
    check(same(group["diagram_angle"], np.arange(5) * 144.0), where + "diagram angle")
    check(same(group["diagram_speed"], [3000, 5500]), where + "diagram speed")
    check(same(group["distance"], [0.005, 0.015, 0.0251, 0.1 / 3]), where + "distance")
    check(same(group["diagram_pipe_start"], [0, 0.02]), where + "pipe starts")
    check(list(group["tail_name"].asstr()) == ["left tail", "right tail"], where + "tail")
    check(list(group["probe"].asstr()) == ["before the merge", "primary 1 at 300 mm",
                                           "nach dem Sammler \u00fc"], where + "probe")


def check_group_with_xarray(path, group, engine, rows):
    where = engine + " " + group.name + ": "
    with xarray.open_dataset(path, group=group.name, engine=engine) as data:
        names = {name for name in group if is_header_dataset(group[name])} - {"text_byte"}
        check(set(data.variables) == names, where + "variables")
        for name in names & set(data.variables):
            variable = data[name]
            dimensions, _, unit = rows[name]
            if name == "failure_text":  # xarray joins the characters
                dimensions = dimensions[:1]
            check(variable.dims == dimensions, where + name + ": dimensions")
            check(variable.attrs.get("units", "") == unit, where + name + ": unit")
            check(variable.attrs["long_name"] == group[name].attrs["long_name"],
                  where + name + ": long name")
            if name in COORDINATES:
                check(name in data.coords, where + name + ": is a coordinate")
            if name == "failure_text":
                texts = [text.decode() for text in variable.values]
                failed = [state == 3 for state in group["status"]]
                check(texts == ["invented: 9 ° of nonsense" if one else "" for one in failed],
                      where + name + ": values")
                continue
            stored = group[name].asstr()[()] if group[name].dtype == object else group[name][()]
            if "_FillValue" in group[name].attrs:  # whole numbers become NaN where there is none
                stored = np.where(stored == -1, np.nan, stored.astype(np.float64))
            check(same(variable.values, stored), where + name + ": values")
        if "cylinder" in data.dims:
            one = data["cylinder_imep"].sel(speed=4000, cylinder=8).item()
            check(one == group["cylinder_imep"][2, 1], where + "selection by speed and cylinder")


def check_page_examples(path):
    """The examples of the format page run as they stand, on a file called results.h5."""
    blocks = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    check(len(blocks) >= 3, "format page: one example for h5py and two for xarray")
    check(any("h5py" in b for b in blocks) and any("xarray" in b for b in blocks),
          "format page: both libraries")
    for number, block in enumerate(blocks, 1):
        run = subprocess.run([sys.executable, "-c", block], cwd=path.parent, text=True,
                             capture_output=True, check=False)
        check(run.returncode == 0, f"format page, example {number}: {run.stderr}")
        check(run.stdout.strip(), f"format page, example {number} prints something")


def open_example():
    program = os.environ.get("POINT_WRITER_PROGRAM")
    if not program:
        sys.exit("POINT_WRITER_PROGRAM does not name the program that writes the example")
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "results.h5"
        values = pathlib.Path(folder) / "expected.json"
        subprocess.run([program, "example", path, values], check=True)
        expected = json.loads(values.read_text(encoding="utf-8"))
        rows = rows_of_page()
        with h5py.File(path) as file:
            check_root(file)
            check_no_name_is_a_method(file)
            groups = header_groups(file)
            check(list(groups) == ["equal-length", "stepped", "equal-length/variants/coarse", "pipe-only"],
                  "groups")
            everywhere = set()
            for name, group in groups.items():
                check_group_with_h5py(group, expected[name], rows)
                everywhere |= {item for item in group if is_header_dataset(group[item])}
                if "cylinder" in group:
                    check_coordinates(group)
            check(everywhere == set(rows) | {"text_byte"}, "format page: names what is there")
            check(set(COORDINATES) <= everywhere, "coordinates")
        with h5py.File(path) as file:
            for group in header_groups(file).values():
                for engine in ENGINES:
                    check_group_with_xarray(path, group, engine, rows)
        for engine in ENGINES:
            check_root_with_xarray(path, engine)
        check_page_examples(path)


def values_by_speed(group):
    """Name -> array of the variables that hold a record for every speed."""
    values = {}
    for name, dataset in group.items():
        if is_header_dataset(dataset) and not h5py.h5ds.is_scale(dataset.id):
            # The checksum of a point that is being replaced goes before its status does.
            if name != "checksum" and dataset.dims[0][0].name.endswith("/speed"):
                values[name] = dataset[()]
    return values


def compare(prefix, paths):
    references = []
    for number in range(3):
        with h5py.File(f"{prefix}{number}.h5") as file:
            references.append({n: values_by_speed(g) for n, g in header_groups(file).items()})
    points = 0
    for path in paths:
        with h5py.File(path) as file:
            for header, group in header_groups(file).items():
                finished = np.flatnonzero(group["status"][()])
                points += len(finished)
                generations = group["wall_seconds"][finished].astype(int)
                for name in references[0][header]:
                    values = group[name][()]
                    whole = all(same(values[s], references[g][header][name][s])
                                for s, g in zip(finished, generations))
                    check(whole, f"{path} {header}/{name}")
    check(points > 0, "no finished point in any file")


def compress(path):
    with h5py.File(path, "r+") as file:
        for group in header_groups(file).values():
            for name in [n for n in group if is_header_dataset(group[n])]:
                dataset = group[name]
                if h5py.h5ds.is_scale(dataset.id) or name == "diagram_pipe_start":
                    continue
                values = dataset[()]
                del group[name]
                group.create_dataset(name, data=values, chunks=True, compression="gzip")


def main():
    arguments = sys.argv[1:]
    if not arguments:
        open_example()
    elif arguments[0] == "--compare":
        compare(arguments[1], arguments[2:])
    elif arguments[0] == "--compress":
        compress(arguments[1])
        return
    else:
        sys.exit(__doc__)
    print(f"{checks} checks, {len(failures)} failed")
    sys.exit(1 if failures or checks == 0 else 0)


if __name__ == "__main__":
    main()
