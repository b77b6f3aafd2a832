from shop.access.models import Person
from shop.fitting.models import Fitment, FittedPart
from shop.follow_up.models import Failure, FollowUp
from shop.jobs.models import JobCard, JobEvent, JobPhoto, JobPlan
from shop.long_work.models import Work, WorkerSeen
from shop.papers.models import HandOver, Quote, QuoteLine
from shop.people.models import Customer, Vehicle
from shop.safety.models import SafetySignOff
from shop.survey.models import EngineFact, Survey
from shop.web.models import FormPost
from shop.workshop.models import Backup, Workshop

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
    "Work",
    "WorkerSeen",
    "Workshop",
]
