from django.urls import path

app_name = "sizing"
urlpatterns: list[path] = []
