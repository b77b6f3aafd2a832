from measurements.bench.curves.models import PowerCurve, PowerPoint
from measurements.bench.dyno.models import DynoTest
from measurements.bench.smoke.models import SmokeLimit, SmokeSnap, SmokeTest
from measurements.guided.models import SheetEntry, SheetPhoto
from measurements.intake.models import IntakeToken
from measurements.logs.models import LogColumn, LogFile, LogMatch, LogPull
from measurements.phone.models import Act
from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from measurements.readings.models import Point, Reading, Withdrawal
from measurements.review.models import Outcome

__all__ = [
    "Act",
    "DynoTest",
    "Instrument",
    "IntakeToken",
    "LogColumn",
    "LogFile",
    "LogMatch",
    "LogPull",
    "Outcome",
    "Point",
    "PowerCurve",
    "PowerPoint",
    "ProvingRun",
    "Reading",
    "SheetEntry",
    "SheetPhoto",
    "SmokeLimit",
    "SmokeSnap",
    "SmokeTest",
    "Withdrawal",
]
