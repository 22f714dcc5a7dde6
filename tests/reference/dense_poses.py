"""Many poses of a lift at once: Newton's method on the loop equations, vectorised.

The roots are those of `reference_lift` (the same equations, the same planes across the tabulated
curve); thousands of them cost milliseconds, so minima can be sampled as densely as wanted.
"""

import numpy as np

# Largest residual of the loop equations accepted, of the longest bar.
CLOSED = 1e-12
# Newton's method from a cubic through the table: two or three rounds are enough.
ROUNDS = 6

# The frames in which bars are drawn.
FRAMES = ("wall_bar", "panel_bar", "lower_arm", "upper_arm")


class DensePoses:
    """Arrays of angles and places of a lift at places `t` on its curve."""

    def __init__(self, lift, t):
        self.lift = lift
        self.t = np.asarray(t, float)
        lower, upper, panel = self._roots()
        self.lower, self.upper, self.panel = lower, upper, panel
        self.panel_lower = along(lift.wall_lower, lift.lower_arm, lower)
        self.panel_upper = along(lift.wall_upper, lift.upper_arm, upper)
        self.origin = self.panel_lower - turned_by(panel, np.array(lift.panel_lower))

    def _roots(self):
        lift, t = self.lift, self.t
        i = np.clip(np.floor(t).astype(int), 0, len(lift.points) - 2)
        here, ahead = lift.points[i], lift.points[i + 1]
        normal, after = lift.tangents[i], lift.tangents[i + 1]
        u = (t - i)[:, None]
        chord = ahead - here
        length = np.linalg.norm(chord, axis=1)[:, None]
        through = here + u * chord
        q = through + u * (1 - u) * ((1 - u) * (length * normal - chord) - u * (length * after - chord))
        a, b, c = (v / lift.size for v in (lift.lower_arm, lift.panel_bar, lift.upper_arm))
        apart = (np.array(lift.wall_lower) - np.array(lift.wall_upper)) / lift.size
        for _ in range(ROUNDS):
            lower, upper, bar = q[:, 0], q[:, 1], q[:, 2] + lift.bar_angle
            gap = np.stack([
                apart[0] + a * np.cos(lower) + b * np.cos(bar) - c * np.cos(upper),
                apart[1] + a * np.sin(lower) + b * np.sin(bar) - c * np.sin(upper),
                np.sum(normal * (q - through), axis=1),
            ], axis=1)
            if np.abs(gap).max() <= CLOSED:
                return q.T
            slopes = np.stack([
                np.stack([-a * np.sin(lower), c * np.sin(upper), -b * np.sin(bar)], axis=1),
                np.stack([a * np.cos(lower), -c * np.cos(upper), b * np.cos(bar)], axis=1),
                normal,
            ], axis=1)
            q = q - np.linalg.solve(slopes, gap[:, :, None])[:, :, 0]
        raise ArithmeticError(f"the loop does not close: {np.abs(gap).max()}")

    def frame(self, name):
        """(origins, angles) of a bar's frame in the side view."""
        still = np.zeros(len(self.t))
        fixed = lambda p: np.broadcast_to(np.array(p, float), (len(self.t), 2))  # noqa: E731
        return {
            "wall_bar": (fixed((0.0, 0.0)), still),
            "panel_bar": (self.origin, self.panel),
            "lower_arm": (fixed(self.lift.wall_lower), self.lower),
            "upper_arm": (fixed(self.lift.wall_upper), self.upper),
        }[name]

    def seen_from(self, viewer, name, points):
        """Points of one bar's frame (V, 2) in the frame of another at every pose: (N, V, 2)."""
        from_origin, from_angle = self.frame(name)
        to_origin, to_angle = self.frame(viewer)
        offset = turned_by(-to_angle, from_origin - to_origin)
        return offset[:, None, :] + spun(from_angle - to_angle, np.asarray(points, float))

    def in_room(self, name, points):
        return self.seen_from("wall_bar", name, points)


def along(start, length, angle):
    return np.array(start) + length * np.stack([np.cos(angle), np.sin(angle)], axis=1)


def turned_by(angle, vector):
    """A vector (or one for each angle) turned by each angle: (N, 2)."""
    c, s = np.cos(angle), np.sin(angle)
    x, y = vector[..., 0], vector[..., 1]
    return np.stack([c * x - s * y, s * x + c * y], axis=-1)


def spun(angle, points):
    """All points turned by each angle: (N, V, 2)."""
    c, s = np.cos(angle)[:, None], np.sin(angle)[:, None]
    x, y = points[:, 0][None, :], points[:, 1][None, :]
    return np.stack([c * x - s * y, s * x + c * y], axis=2)
