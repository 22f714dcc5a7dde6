"""The chapel hatch board against results that were worked out before the program was written."""

import json
import math

from program import GOLDEN, check
from reference_findings import Comparison
from reference_lift import Lift


def compare():
    """Differences between the program, the kept results and this folder's reference."""
    case = GOLDEN / "chapel-hatch"
    project = json.loads((case / "project.overarm.json").read_text(encoding="utf-8"))
    expected = json.loads((case / "expected.json").read_text(encoding="utf-8"))
    findings = check(project, poses=len(expected["poses"]))
    wrong = []

    def near(field, found, wanted, tolerance):
        if found is None or not abs(found - wanted) <= tolerance:
            wrong.append(f"{field}: program {found!r}, expected {wanted!r}")

    for name, wanted in expected["lengths_mm"].items():
        near(f"lengths_mm.{name}", findings["lengths_mm"][name], wanted, 1e-6)
    for k, (row, pose) in enumerate(zip(findings["poses"], expected["poses"], strict=True)):
        for name in ("lower_arm_deg", "upper_arm_deg", "x", "y", "tilt_deg", "transmission_deg"):
            near(f"poses[{k}].{name}", row[name], pose[name], 1e-6)
    near("stop.travel_deg", findings["stop"]["travel_deg"], expected["arm_on_arm_contact_travel_deg"], math.degrees(1e-6))
    least = expected["least_distance_to_ceiling_mm"]
    near("clearance.panel.mm", findings["clearance"]["panel"]["mm"], least["panel"]["mm"], 0.01)
    near("clearance.bars.mm", findings["clearance"]["bars"]["mm"], min(least["lower"]["mm"], least["upper"]["mm"]), 0.01)
    # mechanics of the case: the next dead point lies 4.07 degrees beyond the contact, and the
    # parked panel leaves 7.43 mm over the hatch.
    near("stop.dead_point_beyond_deg", findings["stop"]["dead_point_beyond_deg"], 4.07, 0.005)
    uncovers = next(rule for rule in findings["rules"] if rule["rule"] == "uncovers")
    near("rules.uncovers.margin", uncovers["margin"], 7.43, 0.005)
    return wrong + Comparison(Lift(project), findings).all()
