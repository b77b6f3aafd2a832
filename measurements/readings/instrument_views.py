"""Gauges and sensors: what they can be trusted with, and when they must be checked."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from measurements.readings.instrument_forms import InstrumentForm
from measurements.readings.instruments import Instrument


@permission_required("measurements.add_reading", raise_exception=True)
@require_GET
def instruments(request):
    today = timezone.localdate()
    rows = [(row, row.is_overdue(today)) for row in Instrument.objects.all()]
    return render(request, "measurements/readings/instruments.html", {"section": "instruments", "rows": rows})


@permission_required("measurements.add_instrument", raise_exception=True)
@require_http_methods(["GET", "POST"])
def instrument(request, pk=None):
    """Add one or change one; the name is taken once, so sending the form twice adds one."""
    row = get_object_or_404(Instrument, pk=pk) if pk else None
    form = InstrumentForm(request.POST or None, instrument=row)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"Stored: {saved}.")
        return redirect("measurements:instruments")
    context = {"section": "instruments", "form": form, "instrument": row}
    return render(request, "measurements/readings/instrument.html", context, status=422 if form.errors else 200)
