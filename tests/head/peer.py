"""A second flight model to hold ours against: scipy's DOP853, equations written out anew.

One pattern at a time; integration starts again at each birth, and drops never leave it.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

EPS0 = 8.8541878128e-12


def landings(head, charges, wake, lead_in=4, rtol=1e-11):
    """Deflection (m) and arrival (s after the first drop's birth) of every drop given."""
    q = np.concatenate((np.zeros(lead_in), charges))
    n, period = len(q), 1 / head.drop_frequency_hz
    state = np.zeros((4, 0))  # z, y, vz, vy
    landed = np.full((2, n), np.nan)
    for born in range(1, n + 1):
        state = np.column_stack((state, (0, 0, head.jet_speed_m_s, 0)))
        start = (born - 1) * period
        ends = [start + period] if born < n else start + period * np.arange(50, 1000, 50)
        for end in ends:
            flown = solve_ivp(
                lambda t, s, m=born: derivatives(head, q[:m], wake, s),
                (start, end),
                state.ravel(),
                method="DOP853",
                rtol=rtol,
                atol=1e-14,
                dense_output=True,
            )
            note_landings(head, flown, born, landed)
            state, start = flown.y[:, -1].reshape(4, born), end
            if not np.isnan(landed).any():
                break
    return landed[0, lead_in:], landed[1, lead_in:] - lead_in * period


def note_landings(head, flown, born, landed):
    plane = head.exit_m + head.throw_m
    z = flown.y[:born]
    for drop in np.flatnonzero((z[:, 0] < plane) & (z[:, -1] >= plane)):
        when = brentq(lambda t, d=drop: flown.sol(t)[d] - plane, *flown.t[[0, -1]], xtol=1e-15)
        landed[:, drop] = flown.sol(when)[born + drop], when


def derivatives(head, q, wake, flat):
    z, y, vz, vy = flat.reshape(4, -1)
    speed = np.hypot(vz, vy)
    reynolds = head.air_density_kg_m3 * speed * head.drop_diameter_m / head.air_viscosity_pa_s
    cd = 24 / reynolds * (1 + 0.15 * reynolds**0.687)
    area = np.pi / 4 * head.drop_diameter_m**2
    drag = 0.5 * head.air_density_kg_m3 * speed**2 * area * cd
    if wake:
        drag = drag * drag_factors(head, wake, z, y, vz, vy, speed, reynolds)
    across, along = plate_field(head, z, y)
    fz = -drag * vz / speed + q * head.field_v_m * along
    fy = -drag * vy / speed + q * head.field_v_m * across
    live = np.flatnonzero(q)  # pairs without charge have no force: the same pairs as ours
    if live.size > 1:
        dz, dy = np.subtract.outer(z[live], z[live]), np.subtract.outer(y[live], y[live])
        r = np.hypot(dz, dy)
        np.fill_diagonal(r, 1)
        pull = np.outer(q[live], q[live])
        pull /= 4 * np.pi * EPS0 * np.maximum(r, head.drop_diameter_m) ** 3
        fz[live] += (pull * dz).sum(axis=1)
        fy[live] += (pull * dy).sum(axis=1)
    m = head.drop_mass_kg
    return np.concatenate((vz, vy, fz / m, fy / m))


def plate_field(head, z, y):
    # numpy's own complex tanh, held at the surface of a plate, half a gap away
    t = np.clip((y - head.middle_m) / head.fringe_m, -0.4 * np.pi, 0.4 * np.pi)
    a, b = (z - head.entry_m) / head.fringe_m, (z - head.exit_m) / head.fringe_m
    into, out = np.tanh(a + 1j * t), np.tanh(b + 1j * t)
    slope = (out**2 - into**2) / head.fringe_m
    field = 0.5 * (into - out + 1j * head.middle_m * slope)
    return field.real, field.imag


def drag_factors(head, wake, z, y, vz, vy, speed, reynolds, ahead=12):
    """Drop by drop from the first on; an even stream of drops like the first flies ahead of it."""
    d = head.drop_diameter_m
    even = np.arange(1, ahead + 1) * speed[0] / head.drop_frequency_hz
    n = len(z)
    gap_z = np.subtract.outer(np.concatenate((z[0] + even, z)), z)
    gap_y = np.subtract.outer(np.concatenate((np.zeros(ahead), y)), y)
    uz, uy = (
        np.concatenate((np.ones(ahead), vz / speed)),
        np.concatenate((np.zeros(ahead), vy / speed)),
    )
    re = np.concatenate((np.full(ahead, reynolds[0]), reynolds))[:, None]
    x = (gap_z * uz[:, None] + gap_y * uy[:, None]) / d
    off = (gap_z * uy[:, None] - gap_y * uz[:, None]) / d
    e1 = share(x, off, re)
    whole = e1[:ahead, 0].sum()
    first = 0.3
    for _ in range(100):
        first = 0.5 * (first + factor(min(wake * whole * first, 0.95), reynolds[0]))
    f = np.concatenate((np.full(ahead, first), np.ones(n)))
    for i in range(n):
        if i:
            f[ahead + i] = factor(
                min(wake * f[: ahead + i] @ e1[: ahead + i, i], 0.95), reynolds[i]
            )
        else:
            f[ahead] = first
    return f[ahead:]


def factor(e, re):
    return (1 - e) * (1 + 0.15 * ((1 - e) * re) ** 0.687) / (1 + 0.15 * re**0.687)


def share(x, y, re):
    held = np.clip(x, 1.1, 19)
    e1 = 1 / (
        1.4425 * re**0.0289 + 1.982 * re**-0.3293 * held - 0.0173 * re**0.6616 * np.exp(1 - held)
    )
    onset, end = np.clip(x, 0, 1), np.clip((19 - x) / 2, 0, 1)
    fade = onset**2 * (3 - 2 * onset) * end**2 * (3 - 2 * end)
    return e1 * np.exp(-(y**2) / (0.32 + 4 * held / re)) * fade
