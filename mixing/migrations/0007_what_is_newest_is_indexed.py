from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('mixing', '0006_ranges_stand_in_limits'),
    ]

    operations = [
        migrations.AddIndex(
            model_name='stockcontainer',
            index=models.Index(condition=models.Q(('retired_at', None)), fields=['opened_on'], name='container_in_use'),
        ),
    ]
