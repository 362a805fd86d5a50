"""Fifty random boards by first-order propagation with the package `uncertainties` (E. O. Lebigot, from PyPI).

Run: pip install uncertainties && python uncertainties_boards.py > uncertainties_boards.csv
Each row holds what the brief in tests/stackup.rs needs and the standard uncertainty of the reading at `value`.
The circuits are written out by hand here and share nothing with the program: every limit is a rectangular
distribution, u = half width / sqrt(3). Truncation is half a count to either side.
"""

import random
from importlib.metadata import version

from uncertainties import ufloat

ROOT3 = 3**0.5
random.seed(20251125)


def spread(nominal, half):
    return ufloat(nominal, half / ROOT3)


def part(ohm, tolerance, ageing, drift):
    return ohm * spread(1, tolerance) * spread(1, ageing) * spread(1, drift)


def pick(low, high, digits=4):
    return float(f"%.{digits}g" % random.uniform(low, high))


NAMES = (
    "circuit bits first_end last_end value top_ohm bottom_ohm protection tolerance tempco ageing rail rail_tolerance "
    "reference reference_tolerance offset gain inl leakage wire shift sender_tolerance standard"
).split()
print(f"# uncertainties {version('uncertainties')}")
print(",".join(NAMES))
for number in range(50):
    circuit = ["pull-up", "divider"][number % 2]
    bits = random.choice([10, 12, 16])
    tolerance, ageing = random.choice([0.001, 0.01, 0.05]), random.choice([0.0, 0.005, 0.01])
    tempco = random.choice([0, 50, 100])
    drift = tempco * 1e-6 * 45  # -20 .. 70 degrees Celsius about 25
    offset, gain, inl = random.choice([0, 1, 2]), random.choice([0, 0.005]), random.choice([0, 1])
    leakage = random.choice([0, 1e-7, 1e-6])
    rail, rail_tolerance = pick(4, 6), random.choice([0.01, 0.02])
    own_reference = random.random() < 0.5
    reference, reference_tolerance = (pick(2, 5), 0.01) if own_reference else (0, 0)
    protection = pick(100, 20e3)
    value = float(random.choice([10, 25, 60, 90]))
    wire, shift, sender_tolerance = random.choice([0, 2.0]), random.choice([0, 0.05]), random.choice([0, 0.02])
    e = spread(rail, rail * rail_tolerance)
    vref = spread(reference, reference * reference_tolerance) if own_reference else e
    vref0 = reference if own_reference else rail
    leak, ground = spread(0, leakage), spread(0, shift)
    guard = part(protection, tolerance, ageing, drift)
    if circuit == "pull-up":
        first_end, last_end = pick(200, 400), pick(5, 60)
        top_ohm, bottom_ohm = pick(100, 1000), 0
        pull_up = part(top_ohm, tolerance, ageing, drift)
        slope = (last_end - first_end) / 100
        # Wire 0 .. wire: nominal is the middle.
        far = (first_end + slope * value) * spread(1, sender_tolerance) + spread(wire / 2, wire / 2)
        node = (e / pull_up + ground / far) / (1 / pull_up + 1 / far)
        source = 1 / (1 / pull_up + 1 / far) + guard
    else:
        first_end, last_end = 0, pick(20, 40)
        top_ohm, bottom_ohm = pick(20e3, 60e3), pick(2e3, 6e3)
        sender_tolerance = 0
        top, bottom = part(top_ohm, tolerance, ageing, drift), part(bottom_ohm, tolerance, ageing, drift)
        slope = (last_end - first_end) / 100
        above = top + spread(wire / 2, wire / 2)
        far = first_end + slope * value + ground
        node = far * bottom / (above + bottom)
        source = 1 / (1 / above + 1 / bottom) + guard
    pin = node + leak * source
    count = pin / vref * 2**bits * spread(1, gain) + spread(0, offset) + spread(0, inl) + spread(0, 0.5)
    # The firmware: nominal parts.
    seen = count / 2**bits * vref0
    if circuit == "pull-up":
        ohm = top_ohm * seen / (rail - seen) - wire / 2
        reading = (ohm - first_end) / slope
    else:
        volt = seen * (top_ohm + wire / 2 + bottom_ohm) / bottom_ohm
        reading = (volt - first_end) / slope
    assert abs(reading.nominal_value - value) < 1e-9
    row = [circuit, bits, first_end, last_end, value, top_ohm, bottom_ohm, protection, tolerance, tempco, ageing, rail,
           rail_tolerance, reference, reference_tolerance, offset, gain, inl, leakage, wire, shift, sender_tolerance,
           repr(reading.std_dev)]
    print(",".join(str(cell) for cell in row))
