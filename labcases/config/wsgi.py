import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from labcases.config.environment import refuse_to_serve_unsafely

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labcases.config.settings")

refuse_to_serve_unsafely(debug=settings.DEBUG)
application = get_wsgi_application()
