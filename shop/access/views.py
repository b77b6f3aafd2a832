"""The second step of the log-in, the page on which a person begins or ends it, and the people who may log in."""

import time

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required, permission_required
from django.contrib.auth.views import LoginView
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from shop.access.actions import (
    accepts_code,
    add_person,
    begin_second_factor,
    confirm_second_factor,
    forget_second_factor,
    has_second_factor,
)
from shop.access.forms import CodeForm, PersonForm
from shop.access.models import Person
from shop.web.qr import qr_svg

WAITING, LONGEST_S = "second_factor", 300


class LogIn(LoginView):
    template_name = "registration/login.html"
    redirect_authenticated_user = True

    def form_valid(self, form):
        person = form.get_user()
        if not has_second_factor(person):
            return super().form_valid(form)
        self.request.session[WAITING] = {
            "person": person.pk, "backend": person.backend, "to": self.get_success_url(), "until": time.time() + LONGEST_S,
        }  # fmt: skip
        return redirect("shop:login_code")


@sensitive_post_parameters("code")
@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
def login_code(request):
    waiting = request.session.get(WAITING)
    person = (
        waiting
        and waiting["until"] > time.time()
        and Person.objects.filter(pk=waiting["person"], is_active=True).first()
    )
    if not person:
        request.session.pop(WAITING, None)
        return redirect("shop:login")
    form = CodeForm(person, request.POST or None, check=accepts_code)
    if request.method == "POST" and form.is_valid():
        request.session.pop(WAITING)
        login(request, person, backend=waiting["backend"])
        return redirect(waiting["to"])
    return render(request, "registration/code.html", {"form": form}, status=422 if form.errors else 200)


@sensitive_post_parameters("code")
@never_cache
@require_http_methods(["GET", "POST"])
def second_factor(request):
    person = request.user
    if has_second_factor(person):
        return render(
            request, "registration/second_factor.html", {"form": CodeForm(person, check=accepts_code), "on": True}
        )
    device = begin_second_factor(person)
    form = CodeForm(person, request.POST or None, check=confirm_second_factor)
    form.fields["code"].help_text = "six digits that the phone shows now"
    if request.method == "POST" and form.is_valid():
        return render(request, "registration/paper_codes.html", {"codes": form.answer})
    context = {
        "form": form,
        "on": False,
        "qr": qr_svg(device.config_url),
        "secret": device.config_url.split("secret=")[1].split("&")[0],
    }
    return render(request, "registration/second_factor.html", context, status=422 if form.errors else 200)


@sensitive_post_parameters("code")
@require_POST
def second_factor_end(request):
    form = CodeForm(request.user, request.POST, check=accepts_code)
    if not form.is_valid():
        return render(request, "registration/second_factor.html", {"form": form, "on": True}, status=422)
    forget_second_factor(request.user)
    messages.success(request, "From now on the password alone lets you in.")
    return redirect("shop:second_factor")


@permission_required("shop.add_person", raise_exception=True)
@require_http_methods(["GET", "POST"])
def person_new(request):
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        add_person(**form.cleaned_data)
        messages.success(request, f"{form.cleaned_data['full_name']} can log in now.")
        return redirect("shop:workshop")
    context = {"section": "workshop", "form": form, "title": "Add a person", "back": "/workshop/"}
    return render(request, "shop/people/edit.html", context, status=422 if form.errors else 200)


@permission_required("shop.change_person", raise_exception=True)
@require_POST
def person_switch(request, pk):
    """Let a person in or keep them out. Nobody locks themselves out."""
    person = get_object_or_404(Person, pk=pk)
    if person == request.user:
        messages.error(request, "You cannot shut out yourself.")
    else:
        person.is_active = not person.is_active
        person.save(update_fields=["is_active"])
    return redirect("shop:workshop")
