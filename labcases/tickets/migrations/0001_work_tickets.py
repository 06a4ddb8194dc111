import django.db.models.deletion
import django.db.models.functions.text
import django.db.models.lookups
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('cases', '0001_cases_and_stages'),
        ('measurements', '0001_readings_and_specifications'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='WorkTicket',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=26, unique=True)),
                ('paper', models.CharField(choices=[('a4', 'A4'), ('letter', 'US Letter')], default='a4', max_length=8)),
                ('facts_digest', models.CharField(max_length=64)),
                ('pdf', models.BinaryField()),
                ('sha256', models.CharField(max_length=64)),
                ('pages', models.PositiveSmallIntegerField()),
                ('issued_at', models.DateTimeField()),
                ('issued_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('specification', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='tickets', to='measurements.specification')),
                ('stage', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tickets', to='cases.stage')),
            ],
            options={
                'ordering': ['stage', '-issued_at', '-pk'],
                'constraints': [models.UniqueConstraint(fields=('stage', 'facts_digest', 'paper'), name='the_same_facts_make_one_paper'), models.CheckConstraint(condition=django.db.models.lookups.Exact(django.db.models.functions.text.Length('code'), 26), name='a_code_is_26_characters'), models.CheckConstraint(condition=models.Q(django.db.models.lookups.Exact(django.db.models.functions.text.Length('sha256'), 64), django.db.models.lookups.Exact(django.db.models.functions.text.Length('facts_digest'), 64)), name='a_ticket_has_its_hashes'), models.CheckConstraint(condition=models.Q(('pages__gte', 1)), name='a_ticket_has_pages'), models.CheckConstraint(condition=models.Q(('paper__in', ['a4', 'letter'])), name='a_paper_is_a_known_one')],
            },
        ),
    ]
