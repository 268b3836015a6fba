"""A second flight model to hold ours against: scipy's DOP853, equations written out anew.

One pattern at a time; integration starts again at each birth, and drops never leave it.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

EPS0 = 8.8541878128e-12


def landings(head, charges, wake, lead_in=12, wake_drops=4, rtol=1e-11):
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
                lambda t, s, m=born: derivatives(head, q[:m], wake, wake_drops, s),
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


def derivatives(head, q, wake, wake_drops, flat):
    z, y, vz, vy = flat.reshape(4, -1)
    speed = np.hypot(vz, vy)
    reynolds = head.air_density_kg_m3 * speed * head.drop_diameter_m / head.air_viscosity_pa_s
    cd = 24 / reynolds * (1 + 0.15 * reynolds**0.687)
    area = np.pi / 4 * head.drop_diameter_m**2
    drag = 0.5 * head.air_density_kg_m3 * speed**2 * area * cd
    drag = drag * (1 - wake * shield(head, wake_drops, z, y, vz, vy, speed))
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
    a, b = (z - head.entry_m) / head.fringe_m, (z - head.exit_m) / head.fringe_m
    across = 0.5 * (np.tanh(a) - np.tanh(b))
    slope = 0.5 / head.fringe_m * (np.cosh(a) ** -2.0 - np.cosh(b) ** -2.0)
    return across, y * slope


def shield(head, wake_drops, z, y, vz, vy, speed):
    """Strongest deficit behind the drops born up to ``wake_drops`` earlier."""
    nu = head.air_viscosity_pa_s / head.air_density_kg_m3
    best = np.zeros_like(z)
    best[0] = deficit(head, nu, speed[0] / head.drop_frequency_hz, 0.0, speed[0])
    for k in range(1, min(wake_drops, len(z) - 1) + 1):
        lead, back = slice(None, -k), slice(k, None)
        gap = np.array((z[lead] - z[back], y[lead] - y[back]))
        heading = np.array((vz[lead], vy[lead])) / speed[lead]
        along = (gap * heading).sum(axis=0)
        across = gap[0] * heading[1] - gap[1] * heading[0]
        best[back] = np.maximum(best[back], deficit(head, nu, along, across, speed[lead]))
    return best


def deficit(head, nu, along, across, speed):
    radius2 = head.drop_diameter_m**2 / 4
    width2 = radius2 + 4 * nu * np.maximum(along, 0) / speed
    ramp = np.clip(along / head.drop_diameter_m, 0, 1)
    return (3 * ramp**2 - 2 * ramp**3) * radius2 / width2 * np.exp(-(across**2) / width2)
