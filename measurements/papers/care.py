"""What the owner of a vehicle is told about living with a turbo. All of it is common practice of the trade."""

CARE = [
    ("Starting", "Let it idle half a minute, in the cold a minute or two, until oil pressure stands, before it is asked for power."),
    ("Stopping", "After hard work let it idle two to five minutes before it is stopped, so that the turbo cools with oil running through it."),
    ("Oil", "Change oil and oil filter after the first 500 km or 20 hours, then at half the interval that held before. Only oil rated for turbocharged diesels, of the grade for your climate. Look at the level every day of work."),
    ("Air cleaner", "Look at it every week, in dust every day. Never run without the element: what gets past it wears the compressor wheel first."),
    ("Hoses and clamps", "Have them tightened after 500 km or 20 hours. An oily joint or a whistle under load is a leak."),
    ("Pulling", "Do not hold the pedal down at low engine speed: change down. Under long load watch the exhaust temperature, where a gauge is fitted."),
    ("The pump", "Its setting belongs to this turbo. More fuel means more heat: it is how engines of this kind are broken."),
    ("Come back at once", "Black or blue smoke that was not there, a howl or a scraping noise, oil in the intake pipe, less power than before, a hot coolant gauge."),
    ("Stop at once", "Oil pressure lamp on, or the engine speeds up by itself: cover the intake, shut the fuel, get clear."),
]  # fmt: skip
FIRST_CHECK = "First check: after 500 km or 20 hours, at the latest after four weeks. Oil, clamps, leaks, boost and exhaust temperature."
NO_LOCAL_RULES = (
    "What the law asks after this change is not written down in this workshop. Ask the local authority, before the vehicle is used, "
    "whether it must be inspected, approved or registered anew, and ask the insurer whether it must be told."
)
