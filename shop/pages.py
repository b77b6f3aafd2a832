"""The shop's own addresses."""

from django.urls import path

from shop.views import entry, jobs, people, work

app_name = "shop"
urlpatterns = [
    path("set-up/", entry.set_up, name="set_up"),
    path("log-in/", entry.log_in, name="login"),
    path("log-out/", entry.log_out, name="log_out"),
    path("light/", entry.theme, name="theme"),
    path("health/live", entry.health_live, name="health_live"),
    path("health/ready", entry.health_ready, name="health_ready"),
    path("safety/", people.safety, name="safety"),
    path("", jobs.home, name="home"),
    path("jobs/new/", jobs.job_new, name="job_new"),
    path("jobs/<int:pk>/", jobs.job, name="job"),
    path("jobs/<int:pk>/edit/", jobs.job_edit, name="job_edit"),
    path("jobs/<int:pk>/card/", jobs.job_print, name="job_print"),
    path("jobs/<int:pk>/photos/new/", jobs.photo_new, name="photo_new"),
    path("photos/<int:pk>/", jobs.photo, name="photo"),
    path("plans/<int:plan_pk>/job/", jobs.job_of_plan, name="job_of_plan"),
    path("jobs/<int:pk>/facts/", work.facts, name="facts"),
    path("jobs/<int:pk>/survey/", work.survey_page, name="survey_page"),
    path("jobs/<int:pk>/survey/new/", work.survey, name="survey"),
    path("jobs/<int:pk>/plans/new/", work.plan_new, name="plan_new"),
    path("plans/<int:plan_pk>/next-stage/", work.next_plan, name="next_plan"),
    path("job-plans/<int:pk>/choose/", work.plan_choose, name="plan_choose"),
    path("jobs/<int:pk>/quotes/new/", work.quote_new, name="quote_new"),
    path("quotes/<int:pk>/", work.quote, name="quote"),
    path("quotes/<int:pk>/give/", work.quote_give, name="quote_give"),
    path("quotes/<int:pk>/answer/", work.quote_answer, name="quote_answer"),
    path("jobs/<int:pk>/fitments/new/", work.fitment_new, name="fitment_new"),
    path("jobs/<int:pk>/parts/new/", work.part_new, name="part_new"),
    path("jobs/<int:pk>/safety/", work.safety_checks, name="safety_checks"),
    path("jobs/<int:pk>/follow-ups/new/", work.follow_up_new, name="follow_up_new"),
    path("jobs/<int:pk>/failures/new/", work.failure_new, name="failure_new"),
    path("customers/", people.customers, name="customers"),
    path("customers/<int:pk>/", people.customer, name="customer"),
    path("customers/<int:pk>/edit/", people.customer_edit, name="customer_edit"),
    path("vehicles/<int:pk>/", people.vehicle, name="vehicle"),
    path("vehicles/<int:pk>/edit/", people.vehicle_edit, name="vehicle_edit"),
    path("workshop/", people.workshop, name="workshop"),
    path("workshop/backup/", people.backup, name="backup"),
    path("workshop/people/new/", people.person_new, name="person_new"),
    path("workshop/people/<int:pk>/switch/", people.person_switch, name="person_switch"),
]
