from django.urls import include, path

urlpatterns = [
    path("", include("shop.pages")),
    path("", include("sizing.urls")),
    path("", include("measurements.urls")),
]

handler403 = "shop.views.errors.forbidden"
handler404 = "shop.views.errors.not_found"
handler500 = "shop.views.errors.server_error"
