"""Keys for boxes that send readings by themselves: the owner makes and revokes them."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from measurements.intake.actions import make_token, revoke_token
from measurements.intake.forms import TokenForm
from measurements.intake.models import IntakeToken


@permission_required("measurements.add_intaketoken", raise_exception=True)
@never_cache
@require_http_methods(["GET", "POST"])
def tokens(request):
    """The key is shown in the answer to the form and never again; a name is taken once, so a second submit makes none."""
    form, key = TokenForm(request.POST or None), ""
    if request.method == "POST" and form.is_valid():
        row, key = make_token(form.cleaned_data["name"], request.user)
        form = TokenForm()
        messages.success(request, f"Key made for {row}.")
    context = {"section": "instruments", "form": form, "key": key, "rows": IntakeToken.objects.select_related("by")}
    return render(request, "measurements/intake/tokens.html", context, status=422 if form.errors else 200)


@permission_required("measurements.add_intaketoken", raise_exception=True)
@require_POST
def token_revoke(request, pk):
    token = get_object_or_404(IntakeToken, pk=pk)
    revoke_token(token)
    messages.success(request, f"The key of {token} was revoked.")
    return redirect("measurements:tokens")
