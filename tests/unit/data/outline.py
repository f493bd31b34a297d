"""Section properties of an outline by Green's theorem: independent of how the tables were made."""

from math import atan, cos, pi, sin


def _arc(cx, cy, r, start, end, n=200):
    angles = (start + (end - start) * i / n for i in range(n + 1))
    return [(cx + r * cos(a), cy + r * sin(a)) for a in angles]


def _mirror(points):
    return points + [(x, -y) for x, y in reversed(points)]


def h_outline(h, b, tw, tf, r):
    """Return the outline of a section with two axes of symmetry, origin at its centre."""
    inner = h / 2 - tf
    right = [(tw / 2, 0.0), *_arc(tw / 2 + r, inner - r, r, pi, pi / 2)]
    right += [(b / 2, inner), (b / 2, h / 2)]
    top = right + [(-x, y) for x, y in reversed(right)]
    return top + [(-x, -y) for x, y in top]


def channel_outline(h, b, tw, tf, r, r2, slope, at):
    """Return the outline of a channel, origin at mid-height on the back of the web.

    slope: of the inner flange face; tf is measured at the distance `at` from the tip.
    """
    th = atan(slope)

    def face(x):
        return h / 2 - tf - slope * (b - at - x)

    centre = face(tw + r) - r / cos(th)
    half = [(0.0, 0.0), (tw, 0.0), *_arc(tw + r, centre, r, pi, pi / 2 + th)]
    if r2:
        half += _arc(b - r2, face(b - r2) + r2 / cos(th), r2, th - pi / 2, 0.0)
    else:
        half.append((b, face(b)))
    half += [(b, h / 2), (0.0, h / 2)]
    return _mirror(half)


def moments(points):
    """Return A, first moments about y and x axes, second moments about x and y axes."""
    area = sx = sy = ix = iy = 0.0
    for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True):
        c = x0 * y1 - x1 * y0
        area += c / 2
        sx += c * (y0 + y1) / 6
        sy += c * (x0 + x1) / 6
        ix += c * (y0 * y0 + y0 * y1 + y1 * y1) / 12
        iy += c * (x0 * x0 + x0 * x1 + x1 * x1) / 12
    sign = 1 if area > 0 else -1
    return tuple(sign * v for v in (area, sx, sy, ix, iy))


def above(points, axis, level):
    """Return the part of an outline above a level of x (axis 0) or y (axis 1)."""
    kept = []
    for a, b in zip(points, points[1:] + points[:1], strict=True):
        fa, fb = a[axis] - level, b[axis] - level
        if fa >= 0:
            kept.append(a)
        if fa * fb < 0:
            t = fa / (fa - fb)
            kept.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
    return kept


def plastic_modulus(points, axis):
    """Return the plastic modulus about the line that halves the area, normal to an axis."""
    total, *first = moments(points)
    whole = first[1 - axis]
    low, high = min(p[axis] for p in points), max(p[axis] for p in points)
    for _ in range(60):
        level = (low + high) / 2
        part = moments(above(points, axis, level))[0]
        low, high = (level, high) if part > total / 2 else (low, level)
    part, *first = moments(above(points, axis, level))
    upper = first[1 - axis]
    return (upper - part * level) + ((total - part) * level - (whole - upper))
