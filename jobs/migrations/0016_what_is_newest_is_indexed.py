from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('jobs', '0015_ranges_stand_in_limits'),
        ('mixing', '0007_what_is_newest_is_indexed'),
        ('shopapp', '0006_ranges_stand_in_limits'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddIndex(
            model_name='orderpanel',
            index=models.Index(fields=['ready_at'], name='order_panel_ready_at'),
        ),
        migrations.AddIndex(
            model_name='pull',
            index=models.Index(fields=['taken_at'], name='pull_taken_at'),
        ),
        migrations.AddIndex(
            model_name='workorder',
            index=models.Index(fields=['handed_over_at'], name='workorder_handed_over'),
        ),
    ]
