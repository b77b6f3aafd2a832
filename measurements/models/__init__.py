from .curves import PowerCurve, PowerPoint
from .instruments import Instrument
from .logs import LogColumn, LogFile, LogPull
from .outcomes import Outcome
from .proving import ProvingRun
from .readings import Point, Reading

__all__ = [
    "Instrument",
    "LogColumn",
    "LogFile",
    "LogPull",
    "Outcome",
    "Point",
    "PowerCurve",
    "PowerPoint",
    "ProvingRun",
    "Reading",
]
