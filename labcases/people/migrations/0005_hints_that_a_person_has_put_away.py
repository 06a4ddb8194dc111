from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("people", "0004_sessions_devices_and_links")]

    operations = [
        migrations.AddField(
            model_name="user",
            name="dismissed_hints",
            field=models.JSONField(default=list, help_text="Names of the hints that they have put away."),
        ),
    ]
