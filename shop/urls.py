from django.urls import include, path

urlpatterns = [
    path("", include("shop.pages")),
    path("", include("sizing.urls")),
    path("", include("measurements.urls")),
]

handler403 = "shop.web.errors.forbidden"
handler404 = "shop.web.errors.not_found"
handler500 = "shop.web.errors.server_error"
