"""The street plan: each floor brings its own paths."""

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import path
from sesame.views import LoginView as LinkView

from workshop.views import look

urlpatterns = [
    path("sign-in/", LoginView.as_view(template_name="sign_in.html", redirect_authenticated_user=True), name="sign_in"),
    path("sign-in/link/", LinkView.as_view(), name="sign_in_link"),
    path("sign-out/", LogoutView.as_view(), name="sign_out"),
    path("look/", look.look, name="look"),
    path("light/", look.set_light, name="light"),
]
