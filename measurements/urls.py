from django.urls import path

app_name = "measurements"
urlpatterns: list[path] = []
