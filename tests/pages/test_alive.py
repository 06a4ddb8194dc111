from django.urls import reverse


def test_the_process_is_alive_without_asking_the_database(client):
    """Outside of a test with a database, any query fails."""
    answer = client.get(reverse("alive"))
    assert (answer.status_code, answer.json()) == (200, {"alive": True})
    assert not answer.cookies
