"""Requests for the pages that are looked at, all on invented boards: python3 requests.py FOLDER."""

import json
import pathlib
import sys

root = pathlib.Path(__file__).resolve().parents[2]
out = pathlib.Path(sys.argv[1])


def seats(labels, module):
    return [{"slot": label, "module": module} for label in labels]


def tarn(installed, policy, module, quantity):
    return {
        "board": "tarn",
        "processors": ["tarn-12", "tarn-12"],
        "installed": installed,
        "installed_policy": policy,
        "kit": [{"module": module, "quantity": quantity}],
    }


def eight_sockets():
    """The record of the invented Fjord, twice over."""
    board = json.loads((root / "src/catalogue/data/boards/fjord.json").read_text())
    rows = [slot for slot in board["slots"]]
    below = 1 + max(place[1] for slot in rows for place in slot["drawn_at"])
    board["slots"] = []
    for half in (0, 1):
        for slot in rows:
            socket = slot["socket"] + 4 * half
            board["slots"].append({
                **slot,
                "socket": socket,
                "labels": [f"P{socket}-{label}" for label in slot["labels"]],
                "drawn_at": [[x, y + below * half] for x, y in slot["drawn_at"]],
            })
    board.update(id="sound", name="Sound, eight sockets, DDR4", sockets=8, socket_order=list(range(1, 9)))
    board["filling"] = [{**board["filling"][-1], "sockets_fitted": list(range(1, 9))}]
    return {"board": board, "kit": [{"module": "ERW-4R32-2x4", "quantity": 48}]}


requests = {
    "stays": tarn(seats(["A1", "B1", "E1", "F1"], "ERW-3R16-2x4"), "in_place", "ERW-3R16-2x4", 12),
    "out": tarn(seats([f"{c}1" for c in "ABCDEFGH"], "ERW-3R8-1x4"), "replace", "ERW-3R32-4x4", 16),
    "moves": tarn(seats(["A1", "B1", "E1", "F1"], "ERW-3R8-1x4"), "keep", "ERW-3R16-2x4", 8),
    "empty": {"board": "fjord", "kit": [{"module": "ERW-4R32-2x4", "quantity": 8}]},
    "eight": eight_sockets(),
}
for name, request in requests.items():
    (out / f"{name}.json").write_text(json.dumps(request))
