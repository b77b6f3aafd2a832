"""What a refusal has to say, so that a status alone does not pass for one."""


def assert_not_found(response) -> None:
    assert response.status_code == 404
    assert "There is nothing at this address" in response.content.decode()


def assert_not_for_this_role(response) -> None:
    assert response.status_code == 403
    assert "This page is not for your role" in response.content.decode()


def assert_wrong_verb(response) -> None:
    """405 names what would be allowed, and that is not what was sent."""
    assert response.status_code == 405
    allowed = response["Allow"].split(", ")
    assert allowed
    assert response.wsgi_request.method not in allowed
