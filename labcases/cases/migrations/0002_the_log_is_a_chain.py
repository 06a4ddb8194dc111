from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0001_cases_and_stages'),
    ]

    operations = [
        migrations.AddField(
            model_name='case',
            name='log_digest',
            field=models.CharField(default='', editable=False, max_length=64),
        ),
        migrations.AddField(
            model_name='case',
            name='log_length',
            field=models.PositiveIntegerField(default=0, editable=False),
        ),
        migrations.AddField(
            model_name='event',
            name='covers',
            field=models.JSONField(blank=True, default=dict, editable=False, help_text='The rows it stands for.'),
        ),
        migrations.AddField(
            model_name='event',
            name='digest',
            field=models.CharField(default='', editable=False, max_length=64),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name='event',
            name='position',
            field=models.PositiveIntegerField(default=0, editable=False, help_text='From 1 in each case.'),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name='event',
            name='salt',
            field=models.CharField(blank=True, default='', editable=False, help_text="Gone once the patient's data were erased.", max_length=32),
            preserve_default=False,
        ),
        migrations.AlterField(
            model_name='event',
            name='act',
            field=models.CharField(choices=[('opened', 'Case opened'), ('prescription_changed', 'Prescription changed'), ('signed', 'Prescription signed'), ('received', 'Received at the laboratory'), ('started', 'Stage started'), ('finished', 'Stage finished'), ('held', 'Put on hold'), ('resumed', 'Taken up again'), ('sent_back', 'Sent back'), ('skipped', 'Stage skipped'), ('handed_over', 'Handed to the clinic'), ('arrived', 'Arrived at the clinic'), ('assigned', 'Given to a person'), ('dated', 'Date set'), ('step_ticked', 'Step ticked'), ('step_unticked', 'Tick taken back'), ('reading', 'Figure recorded'), ('correction', 'Figure corrected'), ('prescribed', 'Dimension prescribed'), ('specified', 'Specification issued'), ('ticket', 'Work ticket issued'), ('cancelled', 'Case cancelled'), ('note', 'Note'), ('erased', 'Patient’s data erased')], max_length=24),
        ),
    ]
