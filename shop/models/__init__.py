from .backups import Backup
from .customers import Customer
from .facts import EngineFact
from .fitments import Fitment, FittedPart
from .follow_ups import Failure, FollowUp, HandOver
from .jobs import JobCard, JobEvent, JobPhoto, JobPlan
from .people import Person
from .posts import FormPost
from .quotes import Quote, QuoteLine
from .safety import SafetySignOff
from .surveys import Survey
from .vehicles import Vehicle
from .workshops import Workshop

__all__ = [
    "Backup",
    "Customer",
    "EngineFact",
    "Failure",
    "Fitment",
    "FittedPart",
    "FollowUp",
    "FormPost",
    "HandOver",
    "JobCard",
    "JobEvent",
    "JobPhoto",
    "JobPlan",
    "Person",
    "Quote",
    "QuoteLine",
    "SafetySignOff",
    "Survey",
    "Vehicle",
    "Workshop",
]
