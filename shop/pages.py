"""The shop's own addresses."""

from django.urls import path

from shop.access import entry
from shop.access import views as access_views
from shop.access import views as second_factor
from shop.fitting import views as fitting_views
from shop.follow_up import views as follow_up_views
from shop.jobs import plan_views as jobs_plan_views
from shop.jobs import views as jobs
from shop.long_work import views as work_views
from shop.papers import views as papers_views
from shop.people import views as people_views
from shop.safety import views as safety_views
from shop.survey import views as survey_views
from shop.workshop import views as workshop_views

app_name = "shop"
urlpatterns = [
    path("set-up/", entry.set_up, name="set_up"),
    path("log-in/", entry.log_in, name="login"),
    path("log-in/code/", second_factor.login_code, name="login_code"),
    path("log-in/second-step/", second_factor.second_factor, name="second_factor"),
    path("log-in/second-step/end/", second_factor.second_factor_end, name="second_factor_end"),
    path("log-out/", entry.log_out, name="log_out"),
    path("light/", entry.theme, name="theme"),
    path("health/live", entry.health_live, name="health_live"),
    path("health/ready", entry.health_ready, name="health_ready"),
    path("safety/", safety_views.safety, name="safety"),
    path("", jobs.home, name="home"),
    path("jobs/new/", jobs.job_new, name="job_new"),
    path("jobs/<int:pk>/", jobs.job, name="job"),
    path("jobs/<int:pk>/edit/", jobs.job_edit, name="job_edit"),
    path("jobs/<int:pk>/card/", jobs.job_print, name="job_print"),
    path("jobs/<int:pk>/photos/new/", jobs.photo_new, name="photo_new"),
    path("photos/<int:pk>/", jobs.photo, name="photo"),
    path("plans/<int:plan_pk>/job/", jobs.job_of_plan, name="job_of_plan"),
    path("jobs/<int:pk>/facts/", survey_views.facts, name="facts"),
    path("jobs/<int:pk>/survey/", survey_views.survey_page, name="survey_page"),
    path("jobs/<int:pk>/survey/new/", survey_views.survey, name="survey"),
    path("jobs/<int:pk>/plans/new/", jobs_plan_views.plan_new, name="plan_new"),
    path("plans/<int:plan_pk>/next-stage/", jobs_plan_views.next_plan, name="next_plan"),
    path("job-plans/<int:pk>/choose/", jobs_plan_views.plan_choose, name="plan_choose"),
    path("jobs/<int:pk>/quotes/new/", papers_views.quote_new, name="quote_new"),
    path("quotes/<int:pk>/", papers_views.quote, name="quote"),
    path("quotes/<int:pk>/give/", papers_views.quote_give, name="quote_give"),
    path("quotes/<int:pk>/answer/", papers_views.quote_answer, name="quote_answer"),
    path("jobs/<int:pk>/fitments/new/", fitting_views.fitment_new, name="fitment_new"),
    path("jobs/<int:pk>/parts/new/", fitting_views.part_new, name="part_new"),
    path("jobs/<int:pk>/safety/", safety_views.safety_checks, name="safety_checks"),
    path("jobs/<int:pk>/follow-ups/new/", follow_up_views.follow_up_new, name="follow_up_new"),
    path("jobs/<int:pk>/failures/new/", follow_up_views.failure_new, name="failure_new"),
    path("customers/", people_views.customers, name="customers"),
    path("customers/<int:pk>/", people_views.customer, name="customer"),
    path("customers/<int:pk>/edit/", people_views.customer_edit, name="customer_edit"),
    path("vehicles/<int:pk>/", people_views.vehicle, name="vehicle"),
    path("vehicles/<int:pk>/edit/", people_views.vehicle_edit, name="vehicle_edit"),
    path("long-work/", work_views.works, name="works"),
    path("long-work/<int:pk>/", work_views.work, name="work"),
    path("long-work/<int:pk>/panel/", work_views.work_panel, name="work_panel"),
    path("long-work/<int:pk>/again/", work_views.work_again, name="work_again"),
    path("long-work/<int:pk>/file/", work_views.work_file, name="work_file"),
    path("workshop/", workshop_views.workshop, name="workshop"),
    path("workshop/backup/", workshop_views.backup, name="backup"),
    path("workshop/people/new/", access_views.person_new, name="person_new"),
    path("workshop/people/<int:pk>/switch/", access_views.person_switch, name="person_switch"),
]
