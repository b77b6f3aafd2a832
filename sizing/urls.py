from django.urls import path

from sizing.calculators import views as calculators
from sizing.catalogue import import_views as imports
from sizing.catalogue import views as catalogue
from sizing.compare import views as comparing
from sizing.plans import views as plans
from sizing.plans.bench import views as bench
from sizing.plans.turbine import views as turbine

app_name = "sizing"
urlpatterns = [
    path("catalogue/", catalogue.items, name="catalogue"),
    path("catalogue/plunger/<int:pk>/edit/", catalogue.edit_plunger, name="edit_plunger"),
    path("catalogue/plunger/<int:pk>/retire/", catalogue.retire_plunger, name="retire_plunger"),
    path("catalogue/pump/<int:pk>/plungers/", catalogue.add_plunger, name="add_plunger"),
    path("catalogue/turbo/<int:pk>/map/", imports.import_map, name="import_map"),
    path("catalogue/turbo/<int:pk>/map/confirm/", imports.confirm_map, name="confirm_map"),
    path("catalogue/turbo/<int:pk>/map.csv", imports.map_csv, name="map_csv"),
    path("catalogue/turbo/<int:pk>/placement/", comparing.placement, name="placement"),
    path("catalogue/<slug:slug>/", catalogue.items, name="items"),
    path("catalogue/<slug:slug>/export.csv", catalogue.export, name="export"),
    path("catalogue/<slug:slug>/import/", imports.import_sheet, name="import"),
    path("catalogue/<slug:slug>/import/confirm/", imports.confirm_import, name="confirm_import"),
    path("catalogue/<slug:slug>/new/", catalogue.add, name="add"),
    path("catalogue/<slug:slug>/<int:pk>/", catalogue.item, name="item"),
    path("catalogue/<slug:slug>/<int:pk>/edit/", catalogue.edit, name="edit"),
    path("catalogue/<slug:slug>/<int:pk>/retire/", catalogue.retire_item, name="retire"),
    path("calculators/", calculators.calculators, name="calculators"),
    path("calculators/units/", calculators.units, name="units"),
    path("calculators/units/answer/", calculators.units_panel, name="units_panel"),
    path("calculators/<slug:slug>/", calculators.calculator, name="calculator"),
    path("calculators/<slug:slug>/answer/", calculators.calculator_panel, name="calculator_panel"),
    path("plans/<int:pk>/", plans.plan, name="plan"),
    path("plans/<int:pk>/keep/", plans.keep, name="keep_plan"),
    path("plans/<int:pk>/answer/", plans.panel, name="plan_panel"),
    path("plans/<int:pk>/chances/", plans.chances_panel, name="plan_chances_panel"),
    path("plans/<int:pk>/match/", plans.match_panel, name="match_panel"),
    path("plans/<int:pk>/compare/", comparing.compare_page, name="compare"),
    path("plans/<int:pk>/stages/", comparing.stages, name="stages"),
    path("plans/<int:pk>/bench/", bench.bench, name="bench"),
    path("plans/<int:pk>/turbine/", turbine.turbine_capacity, name="turbine_capacity"),
    path("plans/<int:pk>/take/", comparing.take, name="take"),
    path("plans/<int:pk>/copy/", plans.copy, name="copy_plan"),
]
