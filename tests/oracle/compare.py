"""The optimiser against HiGHS, a general-purpose solver, on fresh random instances and in one run.

    pip install highspy
    python3 tests/oracle/compare.py [--count 60] [--seed 1] [--shared] [--keep FILE]

Draws instances (or, with --shared, takes those of the repository), lets `cargo bench --bench optimise`
solve them, solves each again as an integer program over the same columns, and compares status and
value. Prints for each size the median of both times and of their ratio: `whole` with building the
program in Python, `solver` what HiGHS itself took. Ends with 1 if a value differs.

The program is written from the statement of the problem alone and shares no code with the optimiser.
"""

import argparse
import csv
import gzip
import itertools
import json
import os
import pathlib
import random
import statistics
import subprocess
import sys
import tempfile
import time

import highspy

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
SIGN = {"cost": 1, "power": 1, "modules": 1, "touched": 1, "speed": -1, "bandwidth": -1, "capacity": -1}


def build(module):
    return (module["kind"], module["cap"], module["ranks"], module["eranks"], module["width"], module["watts_mw"])


def usable(stack, mode):
    total = sum(o[1] for o in stack)
    if mode == "sparing" and stack:
        total -= max(o[1] // o[2] for o in stack)
    return total


def kept_of(stack, before, serves):
    """The most installed modules left in their slots, over all orders by falling ranks."""
    best = 0
    for order in set(itertools.permutations(stack)):
        if any(a[2] < b[2] for a, b in zip(order, order[1:])):
            continue
        kept = sum(1 for o, m in zip(order, before) if serves(m) and build(m) == o)
        best = max(best, kept)
    return best


def in_place(stack, before):
    return any(
        len(order) >= len(before)
        and all(a[2] >= b[2] for a, b in zip(order, order[1:]))
        and all(build(m) == o for o, m in zip(order, before))
        for order in set(itertools.permutations(stack))
    )


class Program:
    """One integer program: a kind, a voltage and a rate."""

    def __init__(self, instance, kind, mv, rate):
        self.instance, self.rate = instance, rate
        board, request = instance["board"], instance["request"]
        self.serves = lambda m: m["kind"] == kind and mv in m["volts"] and m["rating"] >= rate
        parts = instance["catalogue"]
        self.parts = [m for m in parts if self.serves(m)]
        installed = [parts[i] for e in instance["existing"] for i in e["modules"]]
        keeps = request["policy"] in ("keep_all", "keep_in_place")
        self.possible = not (keeps and not all(map(self.serves, installed)))
        free = {}
        if request["policy"] != "replace_all":
            for m in filter(self.serves, installed):
                free[build(m)] = free.get(build(m), 0) + 1
        self.free, self.keeps, self.installed = free, keeps, installed
        self.builds = sorted({build(m) for m in self.parts} | set(free))
        table = {
            (r["max_rank"], r["dpc"]): r["mts"]
            for r in board["speed_table"]
            if r["kind"] == kind and r["mv"] == mv
        }
        self.stacks = [()]
        for count in range(1, board["positions"] + 1):
            for stack in itertools.combinations_with_replacement(self.builds, count):
                ranks = [o[2] for o in stack]
                fast = table.get((max(ranks), count), 0)
                caps = len({o[1] for o in stack})
                if min(fast, board["cpu_max"]) < rate or sum(o[3] for o in stack) > board["rank_limit"]:
                    continue
                if kind == "RDIMM" and count == 3 and min(ranks) >= 4:
                    continue
                if board["max_caps_channel"] and caps > board["max_caps_channel"]:
                    continue
                if request["mode"] == "sparing" and sum(ranks) < 2:
                    continue
                self.stacks.append(stack)
        self.classes()

    def classes(self):
        board, request = self.instance["board"], self.instance["request"]
        width = 2 if request["mode"] == "mirrored" else 1
        parts, before = self.instance["catalogue"], {}
        if request["policy"] != "replace_all":
            for e in self.instance["existing"]:
                before[e["socket"], e["channel"]] = [parts[i] for i in e["modules"]]
        units = {}
        sockets = range(board["active"])
        content = {}
        for s in sockets:
            content[s] = []
            for c in range(0, board["channels"] - width + 1, width):
                own = tuple(tuple(m["id"] for m in before.get((s, c + k), [])) for k in range(width))
                content[s].append((own, [before.get((s, c + k), []) for k in range(width)]))
        alike = {}
        for s in sockets:
            key = tuple(sorted(own for own, _ in content[s]))
            alike.setdefault(key, []).append(s)
        self.groups = []
        for number, members in enumerate(alike.values()):
            for s in members:
                for own, modules in content[s]:
                    entry = units.setdefault((number, own), [0, modules])
                    entry[0] += 1
            self.groups.append(len(members))
        self.units = [(number, count, modules) for (number, _), (count, modules) in units.items()]
        self.width = width

    def solve(self, keys, best):
        """The best vector of signed values below `best`, or None; and the solver's time."""
        if not self.possible:
            return None, 0.0
        board, request = self.instance["board"], self.instance["request"]
        h = highspy.Highs()
        h.setOptionValue("output_flag", False)
        h.setOptionValue("threads", 1)
        h.setOptionValue("mip_rel_gap", 0.0)
        h.setOptionValue("mip_abs_gap", 0.0)
        names = ["cost", "power", "modules", "touched", "bandwidth", "capacity"]
        terms = {name: {} for name in names}
        count = [0]

        def variable(upper, whole=True):
            h.addVar(0, upper)
            index = count[0]
            if whole:
                h.changeColIntegrality(index, highspy.HighsVarType.kInteger)
            count[0] += 1
            return index

        def row(low, high, cells):
            h.addRow(low, high, len(cells), list(cells), list(cells.values()))

        infinite = highspy.kHighsInf
        held = {o: {} for o in self.builds}
        by_group, filled = {}, {}
        for index, (number, units, before) in enumerate(self.units):
            cells = {}
            for shape, stack in enumerate(self.stacks):
                if request["policy"] == "keep_in_place" and not all(in_place(stack, b) for b in before):
                    continue
                x = variable(units)
                cells[x] = 1
                by_group.setdefault((number, shape), {})[x] = 1
                for o in stack:
                    held[o][x] = held[o].get(x, 0) + self.width
                terms["modules"][x] = self.width * len(stack)
                terms["power"][x] = self.width * sum(o[5] for o in stack)
                terms["capacity"][x] = usable(stack, request["mode"])
                terms["touched"][x] = -sum(kept_of(stack, b, self.serves) for b in before)
                if stack:
                    terms["bandwidth"][x] = 8 * self.rate * self.width
                    filled.setdefault(number, {})[x] = 1
            row(units, units, cells)
        for o in self.builds:
            cells = dict(held[o])
            for m in self.parts:
                if build(m) == o:
                    b = variable(m["stock"])
                    cells[b] = -m["pack"]
                    terms["cost"][b] = m["price"]
            row(-infinite, self.free.get(o, 0), cells)
            if self.keeps and self.free.get(o):
                row(self.free[o], infinite, held[o])
        touched = len(self.installed)
        for x, value in terms["touched"].items():
            terms["cost"][x] = request["labour"] * value
        constant = {"cost": request["labour"] * touched, "touched": touched}
        if request["target"]:
            row(request["target"], infinite, terms["capacity"])
        if request["max_capacity"]:
            row(-infinite, request["max_capacity"], terms["capacity"])
        if request["power_cap_mw"]:
            row(-infinite, request["power_cap_mw"], terms["power"])
        slots = board["active"] * board["channels"] * board["positions"]
        row(-infinite, slots - request["free_slots"], terms["modules"])
        if request["budget"]:
            row(-infinite, request["budget"] - constant["cost"], terms["cost"])
        if board["each_socket_populated"]:
            for number, sockets in enumerate(self.groups):
                row(sockets, infinite, filled.get(number, {}))
        self.mixing(row, variable, held)
        self.balance(row, variable, by_group)
        vector, spent = [], 0.0
        for at, key in enumerate(keys):
            weights = key if isinstance(key, dict) else {key: SIGN[key]}
            fixed = sum(w * constant.get(k, 0) for k, w in weights.items()) + weights.get("speed", 0) * self.rate
            cells = {}
            for name, weight in weights.items():
                for x, value in terms.get(name, {}).items():
                    cells[x] = cells.get(x, 0) + weight * value
            for x in range(count[0]):
                h.changeColCost(x, cells.get(x, 0))
            start = time.process_time()
            h.run()
            spent += time.process_time() - start
            if h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
                return None, spent
            found = round(h.getInfo().objective_function_value)
            vector.append(found + fixed)
            if best is not None and vector > best[: at + 1]:
                return None, spent
            row(-infinite, found, cells)
        return vector, spent

    def mixing(self, row, variable, held):
        board = self.instance["board"]
        for limit, what in ((board["max_caps_system"], 1), (board["max_orgs_system"], None)):
            if not limit:
                continue
            chosen = {}
            for o in self.builds:
                key = o if what is None else o[what]
                if key not in chosen:
                    chosen[key] = variable(1)
                most = board["active"] * board["channels"] * board["positions"]
                if held[o]:
                    row(-highspy.kHighsInf, 0, {**held[o], chosen[key]: -most})
            row(-highspy.kHighsInf, limit, {u: 1 for u in chosen.values()})

    def balance(self, row, variable, by_group):
        kind = self.instance["request"]["balance"]
        if kind == "any":
            return
        sockets = {n: 0 for n in range(len(self.groups))}
        for number, units, _ in self.units:
            sockets[number] += units
        all_shapes = []
        for shape in range(len(self.stacks)):
            z = variable(1 if kind == "balanced" else max(sockets.values()))
            all_shapes.append(z)
            for number, group in enumerate(self.groups):
                cells = dict(by_group.get((number, shape), {}))
                cells[z] = -(sockets[number] if kind == "balanced" else group)
                row(0, 0, cells)
        if kind == "balanced":
            row(1, 1, {z: 1 for z in all_shapes})


def optimum(instance):
    """The signed optimum, or None; the whole time and that of the solver, in seconds."""
    board, request = instance["board"], instance["request"]
    lex = request["objective"].get("lex")
    keys = lex if lex else [request["objective"]["weights"]]
    start, spent, best = time.process_time(), 0.0, None
    kinds = sorted({m["kind"] for m in instance["catalogue"]})
    for kind in kinds:
        for mv in sorted({r["mv"] for r in board["speed_table"] if r["kind"] == kind}):
            own = {min(board["cpu_max"], r["mts"]) for r in board["speed_table"] if r["kind"] == kind and r["mv"] == mv}
            own |= {m["rating"] for m in instance["catalogue"] if m["kind"] == kind}
            for rate in sorted((r for r in own if r >= request["min_speed"] and r <= max(own)), reverse=True):
                vector, seconds = Program(instance, kind, mv, rate).solve(keys, best)
                spent += seconds
                if vector is not None and (best is None or vector < best):
                    best = vector
    return best, time.process_time() - start, spent


def draw(chance, number):
    """A fresh instance: another board, catalogue and request than any of the set."""
    template = json.loads(chance.choice(SHARED))
    instance = json.loads(json.dumps(template))
    instance["id"], instance["family"] = f"fresh-{number:04}", "fresh"
    for m in instance["catalogue"]:
        m["price"] = max(1, round(m["price"] * chance.uniform(0.6, 1.6)))
        m["stock"] = chance.choice([0, 1, 3, 8, 20, 40, 500])
        m["rating"] = chance.choice(sorted({r["rating"] for r in instance["catalogue"]}))
    request = instance["request"]
    if request["target"]:
        request["target"] = max(1, round(request["target"] * chance.uniform(0.5, 1.2)))
    if request["max_capacity"]:
        request["max_capacity"] = request["target"] + chance.choice([0, 8, 32, 128])
    request["objective"] = {
        "lex": chance.sample(["cost", "speed", "power", "modules", "bandwidth", "capacity", "touched"], chance.choice([1, 2, 3]))
    }
    instance["expected"] = {}
    return instance


def ours(instances, folder):
    """What the optimiser says: status, score and milliseconds, by id."""
    lines, times = folder / "instances.jsonl", folder / "times.csv"
    lines.write_text("\n".join(json.dumps(i) for i in instances) + "\n")
    environment = dict(os.environ, KITPROOF_INSTANCES=str(lines), KITPROOF_TIMES=str(times))
    subprocess.run(["cargo", "bench", "--bench", "optimise"], cwd=ROOT, env=environment, check=True)
    with times.open() as text:
        return {row["id"]: row for row in csv.DictReader(text)}


def scaled(vector, instance):
    """A vector in the optimiser's units: money in quarters, capacity in MiB."""
    lex = instance["request"]["objective"].get("lex")
    if not lex:
        return [value * 4 for value in vector]
    # Of a mirrored pair the optimiser counts one channel's bandwidth, the instances both.
    halves = 2 if instance["request"]["mode"] == "mirrored" else 1
    unit = {"cost": lambda v: v * 4, "capacity": lambda v: v * 1024, "bandwidth": lambda v: v // halves}
    return [unit.get(key, int)(value) for key, value in zip(lex, vector)]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--shared", action="store_true", help="take instances of the repository")
    parser.add_argument("--keep", help="write the instances to this file")
    options = parser.parse_args()
    chance = random.Random(options.seed)
    if options.shared:
        instances = [json.loads(line) for line in chance.sample(SHARED, options.count)]
    else:
        instances = [draw(chance, number) for number in range(options.count)]
    if options.keep:
        pathlib.Path(options.keep).write_text("\n".join(map(json.dumps, instances)) + "\n")
    with tempfile.TemporaryDirectory() as folder:
        found = ours(instances, pathlib.Path(folder))
    table, differ, cut = {}, [], []
    for instance in instances:
        row = found[instance["id"]]
        best, whole, solver = optimum(instance)
        own = [int(part) for part in row["score"].split()] if row["score"] else None
        expected = None if best is None else scaled(best, instance)
        if row["status"] in ("BestFound", "Undecided"):
            cut.append(instance["id"])
        elif own != expected:
            differ.append((instance["id"], own, expected))
        ms = float(row["ms"])
        table.setdefault(instance["size"], []).append((ms, whole * 1e3, solver * 1e3))
        print(f"{instance['id']:14} {instance['size']:7} ours {ms:9.3f} ms  whole {whole * 1e3:9.1f}  solver {solver * 1e3:9.1f}", flush=True)
    print("size      n   ours ms   whole ms   solver ms   whole/ours   solver/ours (least)")
    for size, rows in table.items():
        middle = lambda values: statistics.median(list(values))
        ratio = [solver / max(ms, 1e-6) for ms, _, solver in rows]
        print(
            f"{size:8} {len(rows):3} {middle(r[0] for r in rows):9.3f} {middle(r[1] for r in rows):10.1f}"
            f" {middle(r[2] for r in rows):11.1f} {middle(r[1] / max(r[0], 1e-6) for r in rows):12.0f}"
            f" {middle(ratio):10.0f} ({min(ratio):.1f})"
        )
    print(f"{len(differ)} differ, {len(cut)} not finished by ours: {cut}")
    for line in differ:
        print("  differs:", *line)
    sys.exit(1 if differ else 0)


SHARED = gzip.open(HERE / "instances.jsonl.gz", "rt").read().splitlines()

if __name__ == "__main__":
    main()
