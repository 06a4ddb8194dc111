import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from labcases.config.environment import refuse_to_serve_unsafely

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labcases.config.settings")

refuse_to_serve_unsafely(
    debug=settings.DEBUG,
    secure=settings.SECURE,
    hosts=settings.ALLOWED_HOSTS,
    public_url=settings.PUBLIC_URL,
    letters=settings.LETTERS,
    letters_from=settings.DEFAULT_FROM_EMAIL,
)
application = get_wsgi_application()
