"""Random lifts that could be built: the program's findings against the reference, one by one."""

import json
import multiprocessing
import sys
import traceback

from lift_maker import parked_place, random_lift
from program import check
from reference_findings import Comparison


def compare(seed):
    """(seed, kind of lift, figures compared, differences)."""
    try:
        project, lift = random_lift(seed)
        comparison = Comparison(lift, check(project))
        comparison.all()
        return seed, kind_of(lift), comparison.compared, comparison.differences
    except Exception:  # a crash of either side is a failed lift, named by its seed
        return seed, "none", 0, [traceback.format_exc(limit=4)]


def kind_of(lift):
    """Words for the tally: what this lift exercises."""
    parked, missing = parked_place(lift)
    words = [lift.project["bars"]["build"], "up" if lift.project["linkage"]["wall_lower"][1]
             > lift.pose(lift.hung).panel_lower[1] else "down"]
    if lift.project["linkage"]["travel_deg"] == "to_stop":
        words.append("to its stop")
    if missing > 0:
        words.append("asks too much")
    if any(t < parked - 1e-6 for t in lift.dead_points()):
        words.append("past a dead point")
    return ", ".join(words)


def compare_all(first, count, workers=2):
    """Compares lifts of the seeds from `first`, in parallel, in the order of the seeds."""
    with multiprocessing.Pool(workers) as pool:
        return pool.map(compare, range(first, first + count), chunksize=4)


if __name__ == "__main__":
    # One lift by its seed: its project on standard output, what differs on standard error.
    for word in sys.argv[1:]:
        print(json.dumps(random_lift(int(word))[0], indent=2))
        print("\n".join(compare(int(word))[3]) or "no difference", file=sys.stderr)
