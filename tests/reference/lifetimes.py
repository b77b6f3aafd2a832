"""Published times to failure: (times, True where that time ended in a failure)."""

# Weeks to relapse of 21 treated patients and 21 controls: Freireich 1963 and Gehan 1965, as printed by G. Rodriguez
# (Princeton), survival/gehan.html
TREATED = (
    [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35],
    [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0],
)
CONTROL = ([1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23], [1] * 21)

# Days of thirteen subjects, the last two still well (their times only have to lie beyond 91): Boston University School of
# Public Health, R manual, section 5.1
SUBJECTS = ([15, 17, 18, 18, 23, 24, 25, 34, 48, 86, 91, 120, 150], [1] * 11 + [0, 0])

# Miles of 31 cars, ten failed: documentation of the Python package reliability, Kaplan-Meier, example 1
CARS = (
    [
        5248, 7454, 16890, 17200, 38700, 45000, 49390, 69040, 72280, 131900,
        3961, 4007, 4734, 6054, 7298, 10190, 23060, 27160, 28690, 37100, 40060, 45670, 53000, 67000, 69630, 77350,
        78470, 91680, 105700, 106300, 150400,
    ],
    [1] * 10 + [0] * 21,
)  # fmt: skip
