"""Keys for boxes: only the owner makes them, each is shown once, a revoked one counts no more."""

from measurements.intake.models import IntakeToken
from tests.answers import assert_not_for_this_role


def test_the_key_is_shown_once_and_only_its_hash_is_kept(owner_client):
    answer = owner_client.post("/boxes/", {"name": "logger in bay 1"})
    key = answer.context["key"]
    assert key in answer.content.decode()
    assert key not in owner_client.get("/boxes/").content.decode()
    assert IntakeToken.objects.get().key_hash != key
    assert owner_client.post("/boxes/", {"name": "logger in bay 1"}).status_code == 422


def test_revoking_ends_a_key(owner_client, client):
    key = owner_client.post("/boxes/", {"name": "logger"}).context["key"]
    header = {"Authorization": f"Bearer {key}"}
    assert client.get("/api/v1/jobs", headers=header).status_code == 200
    owner_client.post(f"/boxes/{IntakeToken.objects.get().pk}/revoke/")
    assert client.get("/api/v1/jobs", headers=header).status_code == 401
    assert IntakeToken.objects.get().revoked_at


def test_only_the_owner_makes_keys(technician_client, desk_client):
    for client in (technician_client, desk_client):
        assert_not_for_this_role(client.get("/boxes/"))
        assert_not_for_this_role(client.post("/boxes/", {"name": "x"}))
    assert not IntakeToken.objects.exists()
