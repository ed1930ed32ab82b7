"""Makes the pages for the browser tests, and the numbers they must show.

    make_pages.py FOLDER

FOLDER gets `engine.html`, three headers of the shipped V8 on a very coarse grid, with interference;
`hostile.html`, whose texts contain markup; `bare.html`, a file without diagrams in which points are
missing; `damaged.html`, the engine with one changed torque; `network.html`, networks with an H pipe, an
X, two tails, a branch that is closed; `layouts.html`, ready kinds with steps, a neck, H, X and Y;
`parts.html`, a single with mufflers and a catalyst; `many.html`, twelve headers; `dyno.html`, headers that
were measured, and `dyno-grey.html`, the same with predictions that do not count; `sweep.html`, `map.html`, `tolerance.html`, `tune.html`, searches; and `expected.json`: what
`sound` prints of the engine, and what h5py reads from the results files.
"""

import json
import math
import os
import pathlib
import re
import shutil
import signal
import subprocess
import sys
import time

import h5py

sys.path.append(str(pathlib.Path(__file__).resolve().parents[1] / "tools"))
from rig.program import CASES, PROGRAM, SINGLE  # noqa: E402
from rig.results import Watch  # noqa: E402

FIGURES = ("torque", "power", "volumetric_efficiency", "charging_efficiency", "overlap_exhaust_pressure",
           "residual_fraction", "pmep")
TRACES = ("exhaust_pressure", "exhaust_outgoing", "exhaust_returning", "intake_pressure",
          "cylinder_pressure")
MERGES = ("cylinder", "arrival", "gap", "evenness", "degrees_per_metre", "length_to_even",
          "added_length")

# Markup, an entity, quotes, Hebrew, a direction override, and a word that cannot be broken.
HOSTILE = ('</script><script>window.hit = 1</script><img src=x onerror="window.hit = 2"> &lt;b&gt; '
           '\u05e9\u05dc\u05d5\u05dd \u202e evil ' + 80 * "long" + " ${window.hit = 3} \u2028 end")
# As much of it as the title of a case may hold.
HOSTILE_TITLE = HOSTILE.split(" \u202e")[0]


def run(*arguments, codes=(0,)):
    outcome = subprocess.run([PROGRAM, *map(str, arguments)], stdin=subprocess.DEVNULL,
                             stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, check=False)
    if outcome.returncode not in codes:
        sys.exit(f"{arguments}: exit code {outcome.returncode}\n{outcome.stderr}")
    return outcome


def numbers(group, speeds):
    """One header: figures by speed, and by speed and cylinder, merges, traces, interference."""
    header = {"name": group.attrs["name"], "cylinders": group["cylinder"][()].tolist(),
               "figures": {name: group[name][()].tolist() for name in FIGURES},
               "coarse": {name: group["variants/coarse/" + name][()].tolist() for name in FIGURES},
               "by_cylinder": {name: group["cylinder_" + name][()].tolist()
                               for name in FIGURES[2:] + ("imep",)},
               "depression": group["depression"][()].tolist(),
               "depression_angle": group["depression_angle"][()].tolist(),
               "merge_names": list(group["merge_name"].asstr()) if "merge_name" in group else []}
    if header["merge_names"]:
        header["merges"] = {name: group["merge_" + name][()].tolist() for name in MERGES}
    # A sample at every 30 deg of crank.
    header["traces"] = {name: group["trace_" + name][:, :, ::30].tolist() for name in TRACES}
    if f"variants/absorbed-{header['cylinders'][0]}" in group:
        whole = group["variants/coarse/cylinder_overlap_exhaust_pressure"][()]
        without = [group[f"variants/absorbed-{n}/cylinder_overlap_exhaust_pressure"][()]
                   for n in header["cylinders"]]
        header["interference"] = [[[float(whole[s][j] - without[i][s][j])
                                     for i in range(len(without))] for j in range(len(without))]
                                   for s in range(len(speeds))]
    if "diagram_pressure" in group:
        header["diagram"] = {"speed": group["diagram_speed"][()].tolist(),
                              "distance": group["distance"][()].tolist(),
                              "pressure": group["diagram_pressure"][:, ::30, ::5].tolist()}
    return header


def expected(path):
    with h5py.File(path) as file:
        speeds = file["speed"][()].tolist()
        names = [n for n in file.attrs["header_groups"] if "/variants/" not in n]
        return {"title": file.attrs["title"], "speeds": speeds,
                "ambient": file.attrs["ambient_pressure"],
                "settings": json.loads(file.attrs["settings"]),
                "headers": [numbers(file["headers/" + name], speeds) for name in names]}


def engine_page(folder):
    results = folder / "engine.h5"
    case = folder / "hillclimb-v8.toml"
    text = (CASES / "hillclimb-v8.toml").read_text(encoding="utf-8")
    case.write_text(text.replace('wave_speeds = ["4500 rpm"', 'wave_speeds = ["5000 rpm"'),
                    encoding="utf-8")
    run("compare", case, "--quick", "--interference", "--headers",
        "equal-length,180-degree,4-2-1", "--speeds", "5000,6000", "--cells", "40 mm", "--overwrite",
        "-o", results, "--report", folder / "engine.html")
    return expected(results)


def hostile_page(folder):
    """One speed, and too few cycles to converge."""
    text = SINGLE.read_text(encoding="utf-8")
    title = re.search(r'(?m)^title = (".*")$', text)[1]
    text = text.replace(title, json.dumps(HOSTILE_TITLE), 1)
    text = text.replace("[run]\n", "[run]\nleast_cycles = 2\nmost_cycles = 2\n", 1)
    case = folder / "hostile.toml"
    case.write_text(text, encoding="utf-8")
    results = folder / "hostile.h5"
    run("compare", case, "--quick", "--speeds", "7000", "--cells", "25 mm", "--overwrite", "-o",
        results, codes=(1,))
    with h5py.File(results, "r+") as file:  # the program itself refuses such texts
        file.attrs["title"] = HOSTILE
        file["headers/" + file.attrs["header_groups"][0]].attrs["name"] = "<i>" + HOSTILE
    run("report", results, "-o", folder / "hostile.html")
    return expected(results)


def bare_page(folder):
    """A run that was stopped after its first points."""
    results = folder / "bare.h5"
    results.unlink(missing_ok=True)
    process = subprocess.Popen([PROGRAM, "compare", SINGLE, "--quick", "--cells", "10 mm",
                                "--jobs", "1", "-o", results], stdin=subprocess.DEVNULL,
                               stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    watch = Watch(results)
    while watch.finished() < 3 and process.poll() is None:
        time.sleep(0.01)
    process.send_signal(signal.SIGINT)
    if process.wait() != 1:
        sys.exit("the run ended before it could be stopped")
    run("report", results, "-o", folder / "bare.html")
    with h5py.File(results) as file:
        status = [file["headers/" + name]["status"][()].tolist()
                  for name in file.attrs["header_groups"] if "/variants/" not in name]
    return {"missing": sum(one.count(0) for one in status)}


def damaged_page(folder):
    """The file of the engine with one bit of the first header's torque at the first speed changed."""
    results = folder / "damaged.h5"
    content = bytearray((folder / "engine.h5").read_bytes())
    with h5py.File(folder / "engine.h5") as file:
        header = file.attrs["header_groups"][0]
        content[file["headers/" + header]["torque"].id.get_offset() + 5] ^= 1
    results.write_bytes(content)
    run("report", results, "-o", folder / "damaged.html", codes=(1,))
    return {"header": header}


FOUR = CASES / "inline-four.toml"
# Where the drawing is looked at, and no figure: three cycles do.
FEW_CYCLES = "[run]\nleast_cycles = 2\nmost_cycles = 3"


def four_with(headers):
    """The shipped four with other headers."""
    text = FOUR.read_text(encoding="utf-8")
    start, end = text.index("[[header]]"), text.index("[run]")
    return text[:start] + headers + text[end:]


# Pipes of the networks: with the port of the case in front, 80 mm of 36 mm; a cone, a step.
PRIMARY = """[[header.pipe]]
name = "primary {n}"
from = "cylinder {n}"
to = "junction {to}"
profile = [{{ at = "0 mm", diameter = "36 mm" }}, {{ at = "80 mm", diameter = "36 mm" }},
  {{ at = "95 mm", diameter = "39.4 mm" }}, {{ at = "{end} mm", diameter = "39.4 mm" }}]
"""


def pipe(name, start, end, shape):
    return f'[[header.pipe]]\nname = "{name}"\nfrom = "{start}"\nto = "{end}"\n{shape}\n'


def tube(size, length):
    return f'tube = "{size}"\nlength = "{length}"'


def network(name, junctions, *pipes, notes=""):
    return (f'[[header]]\nname = "{name}"\nkind = "network"\nnotes = "{notes}"\n' + "".join(pipes)
            + "".join(f'[[header.junction]]\nname = "{one}"\n' for one in junctions))


CONE = ('profile = [{ at = "0 mm", diameter = "50 mm" }, { at = "150 mm", diameter = "60 mm" }, '
        '{ at = "400 mm", diameter = "60 mm" }, { at = "401 mm", diameter = "70 mm" }, '
        '{ at = "900 mm", diameter = "70 mm" }]')
PRIMARIES = "".join(PRIMARY.format(n=n, to=to, end=end) for n, to, end in
                    ((1, "left", 780), (4, "left", 880), (2, "right", 780), (3, "right", 830)))


def network_page(folder):
    """Networks that no kind of header has; and what their drawings must show."""
    banks = (pipe("collector left", "junction left", "junction bar left", tube("2-1/4 in OD, 16 ga", "300 mm")),
             pipe("collector right", "junction right", "junction bar right", tube("2-1/4 in OD, 16 ga", "300 mm")))
    headers = "\n".join((
        network("H pipe", ("left", "right", "bar left", "bar right"), PRIMARIES, *banks,
                pipe("tail left", "junction bar left", "open", CONE),
                pipe("tail right", "junction bar right", "open", tube("2-1/4 in OD, 16 ga", "900 mm")),
                pipe("bar", "junction bar left", "junction bar right", tube("42 mm OD, 1.5 mm wall", "250 mm")),
                notes="An H pipe behind the collectors."),
        network("X", ("left", "right", "cross"), PRIMARIES,
                *(one.replace("junction bar left", "junction cross").replace("junction bar right", "junction cross")
                  for one in banks),
                pipe("tail left", "junction cross", "open", tube("2-1/4 in OD, 16 ga", "900 mm")),
                pipe("tail right", "junction cross", "open", tube("2-1/4 in OD, 16 ga", "1100 mm"))),
        network("two tails", ("left", "split"), PRIMARIES.replace("junction right", "junction left"),
                pipe("collector", "junction left", "junction split", tube("60 mm ID", "300 mm")),
                pipe("tail A", "junction split", "open", tube("45 mm ID", "600 mm")),
                pipe("tail B", "junction split", "open", tube("45 mm ID", "600 mm")),
                pipe("side branch", "junction split", "closed", tube("45 mm ID", "200 mm")))))
    case = folder / "network.toml"
    case.write_text(four_with(headers).replace("[run]", FEW_CYCLES, 1), encoding="utf-8")
    run("compare", case, "--quick", "--speeds", "5000,6000", "--cells", "40 mm", "--overwrite",
        "-o", folder / "network.h5", "--report", folder / "network.html", codes=(0, 1))
    return {"lengths": [700, 800, 700, 750, 300, 300, 900, 900, 250]}


def layouts_page(folder):
    """A V8 with what its ready kinds of headers can have."""
    run("compare", CASES / "street-v8.toml", "--quick", "--cells", "60 mm", "--overwrite", "-o", folder / "layouts.h5",
        "--report", folder / "layouts.html", codes=(0, 1))


# Behind the tube of a single: a catalyst, a chamber whose tubes reach in, a straight-through muffler.
PARTS = """
[[header.part]]
kind = "catalyst"
diameter = "100 mm"
length = "100 mm"
cone_length = "50 mm"
cells = "300 cpsi"
channel_wall = "4 thou"

[[header.part]]
kind = "chamber"
diameter = "120 mm"
length = "250 mm"
inlet_inside = "60 mm"
outlet_inside = "80 mm"

[[header.part]]
kind = "straight-through"
diameter = "110 mm"
length = "350 mm"

[[header.part]]
kind = "pipe"
length = "300 mm"

"""


def parts_page(folder):
    """A single with what may stand behind its tube."""
    text = SINGLE.read_text(encoding="utf-8")
    first = re.search(r'(?s)\[\[header\]\]\nname = "0.8 m".*?\n\n', text)[0]
    start, end = text.index("[[header]]"), text.index("[run]")
    case = folder / "parts.toml"
    case.write_text(text[:start] + first + PARTS.lstrip() + FEW_CYCLES + text[end + len("[run]"):], encoding="utf-8")
    run("compare", case, "--quick", "--speeds", "6000", "--cells", "60 mm", "--overwrite", "-o",
        folder / "parts.h5", "--report", folder / "parts.html", codes=(0, 1))


def many_page(folder):
    """Twelve headers, which differ by the length of their tube."""
    text = SINGLE.read_text(encoding="utf-8")
    one = re.search(r'(?s)\[\[header\]\]\nname = "0.8 m".*?\n\n', text)[0]
    assert one.count('"800 mm"') == 1
    headers = "".join(one.replace('"0.8 m"', f'"{mm} mm"', 1).replace('"800 mm"', f'"{mm} mm"')
                      for mm in range(400, 1000, 50))
    case = folder / "many.toml"
    start, end = text.index("[[header]]"), text.index("[run]")
    case.write_text(text[:start] + headers + text[end:], encoding="utf-8")
    run("compare", case, "--quick", "--speeds", "4000,5000,6000,7000", "--cells", "60 mm", "--overwrite",
        "-o", folder / "many.h5", "--report", folder / "many.html", codes=(0, 1))
    return {"names": [f"{mm} mm" for mm in range(400, 1000, 50)]}


def split_page(folder):
    """A whole study, with the runs that split differences; what its JSON says of each header against
    the best one."""
    outcome = run("compare", FOUR, "--speeds", "5000,6000,7000", "--cells", "60 mm", "--overwrite", "-o",
                  folder / "split.h5", "--report", folder / "split.html", "--json", codes=(0, 1))
    output = json.loads(outcome.stdout)
    best = output["ranking"][0]
    pair, = (one for one in output["pairs"] if best in (one["header"], one["other"]))
    return {"best": best, "sign": -1 if pair["header"] == best else 1, "pair": pair}


def dyno_page(folder):
    """A measured engine; what its own verb says of it."""
    shutil.copytree(CASES / "pulls", folder / "pulls", dirs_exist_ok=True)
    shutil.copy(CASES / "dyno-single.toml", folder / "dyno.toml")
    run("compare", folder / "dyno.toml", "--no-split", "--cells", "30 mm", "--speeds",
        "3500,4000,4500,5000,5500,6000", "--overwrite", "-o", folder / "dyno.h5", "--quiet")
    run("report", folder / "dyno.h5", "-o", folder / "dyno.html")
    text = (folder / "dyno.toml").read_text(encoding="utf-8")
    (folder / "dyno-grey.toml").write_text(
        text.replace("[run]\n", "[run]\nleast_cycles = 2\nmost_cycles = 2\n", 1), encoding="utf-8")
    run("compare", folder / "dyno-grey.toml", "--quick", "--cells", "30 mm", "--speeds", "4000,5000",
        "--overwrite", "-o", folder / "dyno-grey.h5", "--quiet", codes=(1,))
    run("report", folder / "dyno-grey.h5", "-o", folder / "dyno-grey.html")
    return json.loads(run("dyno", folder / "dyno.h5", "--json").stdout)


def search_pages(folder):
    """`sweep.html`, `map.html` (two dimensions), `tolerance.html` and `tune.html` of a single cylinder; what
    their verbs print as JSON."""
    case = CASES / "tuned-single.toml"
    few = ("--cells", "90 mm", "--speeds", "5000,6000,7000", "--overwrite", "--json")
    verbs = {"sweep": ("sweep", "--vary", "primary_length=600 mm to 1000 mm by 100 mm"),
             "map": ("sweep", "--vary", "primary_length=600 mm to 800 mm by 100 mm", "--vary", "primary_tube"),
             "tolerance": ("tolerance", "--samples", "4"),
             "tune": ("tune", "--designs", "40", "--front", "mean,top", "--no-verdict")}
    printed = {}
    for name, (verb, *options) in verbs.items():
        outcome = run(verb, case, *few, *options, "-o", folder / f"{name}.h5", "--report", folder / f"{name}.html",
                      codes=(0, 1))
        printed[name] = json.loads(outcome.stdout)
    return printed


def without_nan(value):
    """Replaces NaN, which JSON does not have, by null."""
    if isinstance(value, dict):
        return {key: without_nan(one) for key, one in value.items()}
    if isinstance(value, list):
        return [without_nan(one) for one in value]
    return None if isinstance(value, float) and math.isnan(value) else value


def main():
    folder = pathlib.Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    if not os.access(PROGRAM, os.X_OK):
        sys.exit("PULSEWRIGHT does not name the program")
    everything = {"engine": engine_page(folder), "hostile": hostile_page(folder),
                  "bare": bare_page(folder), "damaged": damaged_page(folder),
                  "network": network_page(folder), "many": many_page(folder), "split": split_page(folder),
                  "layouts": layouts_page(folder), "parts": parts_page(folder), "dyno": dyno_page(folder),
                  "searches": search_pages(folder),
                  "hostile_title": HOSTILE}
    everything["sound"] = json.loads(run("sound", folder / "engine.h5", "--json").stdout)
    (folder / "expected.json").write_text(json.dumps(without_nan(everything)), encoding="utf-8")


if __name__ == "__main__":
    main()
