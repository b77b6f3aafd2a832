import django.core.validators
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    # A database of the first version carries these names; to it this one is already applied.
    replaces = [
        ('sizing', '0001_catalogue_and_plans'),
        ('sizing', '0002_plan_made_once'),
        ('sizing', '0003_cleaner_flow_of_one_element'),
        ('sizing', '0004_bench_lines'),
        ('sizing', '0005_turbine_clocking_step'),
    ]

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='AirCleaner',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('make', models.CharField(max_length=60)),
                ('name', models.CharField(max_length=60)),
                ('price', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(10000000)])),
                ('stock_count', models.PositiveIntegerField(default=0)),
                ('weight_kg', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0.05), django.core.validators.MaxValueValidator(500)])),
                ('length_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, length mm')),
                ('width_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, width mm')),
                ('height_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, height mm')),
                ('source', models.CharField(blank=True, max_length=120, verbose_name='where the figures come from')),
                ('note', models.TextField(blank=True)),
                ('retired', models.BooleanField(default=False, help_text='kept for old jobs, not offered for new ones')),
                ('rated_flow_m3_h', models.FloatField(validators=[django.core.validators.MinValueValidator(20), django.core.validators.MaxValueValidator(10000)], verbose_name='rated flow of one element m³/h')),
                ('loss_clean_kpa', models.FloatField(validators=[django.core.validators.MinValueValidator(0.05), django.core.validators.MaxValueValidator(10)], verbose_name='loss at rated flow, clean, kPa')),
                ('loss_service_kpa', models.FloatField(default=6.2, validators=[django.core.validators.MinValueValidator(0.5), django.core.validators.MaxValueValidator(15)], verbose_name='loss at which it must be serviced, kPa')),
                ('element_count', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(3)])),
                ('outlet_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(20), django.core.validators.MaxValueValidator(250)], verbose_name='outlet, hose diameter mm')),
            ],
            options={
                'ordering': ['make', 'name'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('make', 'name'), name='aircleaner_make_and_name_once')],
            },
        ),
        migrations.CreateModel(
            name='Cooler',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('make', models.CharField(max_length=60)),
                ('name', models.CharField(max_length=60)),
                ('price', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(10000000)])),
                ('stock_count', models.PositiveIntegerField(default=0)),
                ('weight_kg', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0.05), django.core.validators.MaxValueValidator(500)])),
                ('length_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, length mm')),
                ('width_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, width mm')),
                ('height_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, height mm')),
                ('source', models.CharField(blank=True, max_length=120, verbose_name='where the figures come from')),
                ('note', models.TextField(blank=True)),
                ('retired', models.BooleanField(default=False, help_text='kept for old jobs, not offered for new ones')),
                ('kind', models.CharField(choices=[('air', 'air to air'), ('water', 'air to water')], default='air', max_length=8)),
                ('effectiveness_ratio', models.FloatField(validators=[django.core.validators.MinValueValidator(0.2), django.core.validators.MaxValueValidator(0.98)], verbose_name='effectiveness at rated flow, 0 to 1')),
                ('loss_kpa', models.FloatField(validators=[django.core.validators.MinValueValidator(0.1), django.core.validators.MaxValueValidator(40)], verbose_name='pressure loss at rated flow, kPa')),
                ('rated_flow_kg_s', models.FloatField(validators=[django.core.validators.MinValueValidator(0.01), django.core.validators.MaxValueValidator(3)], verbose_name='rated flow kg/s')),
                ('port_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(20), django.core.validators.MaxValueValidator(150)], verbose_name='ports, hose diameter mm')),
            ],
            options={
                'ordering': ['make', 'name'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('make', 'name'), name='cooler_make_and_name_once')],
            },
        ),
        migrations.CreateModel(
            name='Pump',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('make', models.CharField(max_length=60)),
                ('name', models.CharField(max_length=60)),
                ('price', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(10000000)])),
                ('stock_count', models.PositiveIntegerField(default=0)),
                ('weight_kg', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0.05), django.core.validators.MaxValueValidator(500)])),
                ('length_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, length mm')),
                ('width_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, width mm')),
                ('height_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, height mm')),
                ('source', models.CharField(blank=True, max_length=120, verbose_name='where the figures come from')),
                ('note', models.TextField(blank=True)),
                ('retired', models.BooleanField(default=False, help_text='kept for old jobs, not offered for new ones')),
                ('kind', models.CharField(choices=[('inline', 'inline'), ('rotary', 'rotary'), ('single', 'single plunger')], max_length=12)),
                ('governor', models.CharField(choices=[('mechanical', 'mechanical'), ('pneumatic', 'pneumatic'), ('hydraulic', 'hydraulic'), ('electronic', 'electronic')], max_length=12)),
                ('plunger_count', models.PositiveSmallIntegerField(default=4, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(12)])),
                ('boost_compensator', models.BooleanField(default=False, verbose_name='has a boost compensator')),
                ('max_speed_rpm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(200), django.core.validators.MaxValueValidator(4000)], verbose_name='highest pump speed rpm')),
            ],
            options={
                'ordering': ['make', 'name'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('make', 'name'), name='pump_make_and_name_once')],
            },
        ),
        migrations.CreateModel(
            name='Plunger',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('diameter_mm', models.FloatField(validators=[django.core.validators.MinValueValidator(4), django.core.validators.MaxValueValidator(14)])),
                ('effective_stroke_max_mm', models.FloatField(validators=[django.core.validators.MinValueValidator(0.3), django.core.validators.MaxValueValidator(15)], verbose_name='longest effective stroke mm')),
                ('price', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(10000000)])),
                ('retired', models.BooleanField(default=False)),
                ('pump', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='plungers', to='sizing.pump')),
            ],
            options={
                'ordering': ['diameter_mm'],
            },
        ),
        migrations.CreateModel(
            name='Turbo',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('make', models.CharField(max_length=60)),
                ('name', models.CharField(max_length=60)),
                ('price', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(10000000)])),
                ('stock_count', models.PositiveIntegerField(default=0)),
                ('weight_kg', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0.05), django.core.validators.MaxValueValidator(500)])),
                ('length_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, length mm')),
                ('width_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, width mm')),
                ('height_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(2000)], verbose_name='envelope, height mm')),
                ('source', models.CharField(blank=True, max_length=120, verbose_name='where the figures come from')),
                ('note', models.TextField(blank=True)),
                ('retired', models.BooleanField(default=False, help_text='kept for old jobs, not offered for new ones')),
                ('compressor_inducer_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(15), django.core.validators.MaxValueValidator(200)], verbose_name='compressor wheel, inlet diameter mm')),
                ('compressor_exducer_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(20), django.core.validators.MaxValueValidator(250)], verbose_name='compressor wheel, outer diameter mm')),
                ('compressor_exit_height_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(40)], verbose_name='compressor wheel, blade height at exit mm')),
                ('compressor_blade_count', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(6), django.core.validators.MaxValueValidator(40)], verbose_name='blades, splitters included')),
                ('backsweep_deg', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(60)], verbose_name='backsweep at exit, degrees')),
                ('turbine_inducer_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(20), django.core.validators.MaxValueValidator(250)], verbose_name='turbine wheel, outer diameter mm')),
                ('turbine_exducer_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(15), django.core.validators.MaxValueValidator(200)], verbose_name='turbine wheel, outlet diameter mm')),
                ('housing_area_mm2', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(50), django.core.validators.MaxValueValidator(8000)], verbose_name='turbine housing, throat area mm²')),
                ('housing_radius_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(200)], verbose_name='turbine housing, radius to throat centre mm')),
                ('turbine_flow_kg_s', models.FloatField(blank=True, help_text='choked flow at 288.15 K and 101.325 kPa', null=True, validators=[django.core.validators.MinValueValidator(0.002), django.core.validators.MaxValueValidator(3)], verbose_name='turbine flow capacity kg/s')),
                ('wastegate', models.BooleanField(default=False)),
                ('max_speed_rpm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(10000), django.core.validators.MaxValueValidator(400000)], verbose_name='highest wheel speed rpm')),
                ('turbine_flange', models.CharField(blank=True, max_length=60)),
                ('outlet_flange', models.CharField(blank=True, max_length=60)),
                ('compressor_inlet_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(15), django.core.validators.MaxValueValidator(200)], verbose_name='compressor inlet, hose diameter mm')),
                ('compressor_outlet_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(15), django.core.validators.MaxValueValidator(200)], verbose_name='compressor outlet, hose diameter mm')),
                ('boost_port', models.BooleanField(default=False, verbose_name='has a port for a boost gauge')),
                ('clocking_step_deg', models.FloatField(blank=True, help_text='0 = any angle', null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(180)], verbose_name='compressor housing turns in steps of, degrees')),
                ('turbine_clocking_step_deg', models.FloatField(blank=True, help_text='0 = any angle, on a band; empty where nobody has counted its bolts', null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(180)], verbose_name='turbine housing turns in steps of, degrees')),
                ('map_temperature_k', models.FloatField(default=298.0, validators=[django.core.validators.MinValueValidator(250), django.core.validators.MaxValueValidator(330)], verbose_name='map reference temperature K')),
                ('map_pressure_kpa', models.FloatField(default=100.0, validators=[django.core.validators.MinValueValidator(60), django.core.validators.MaxValueValidator(110)], verbose_name='map reference pressure kPa absolute')),
            ],
            options={
                'ordering': ['make', 'name'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('make', 'name'), name='turbo_make_and_name_once')],
            },
        ),
        migrations.CreateModel(
            name='Plan',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('title', models.CharField(max_length=120)),
                ('injection', models.CharField(choices=[('indirect', 'indirect (chamber in the head)'), ('direct', 'direct (bowl in the piston)')], max_length=10)),
                ('note', models.TextField(blank=True)),
                ('request_id', models.UUIDField(blank=True, editable=False, null=True, unique=True)),
                ('made_at', models.DateTimeField()),
                ('changed_at', models.DateTimeField()),
                ('air_cleaner', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='plans', to='sizing.aircleaner')),
                ('cooler', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='plans', to='sizing.cooler')),
                ('plunger', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='plans', to='sizing.plunger')),
                ('turbo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='plans', to='sizing.turbo')),
            ],
            options={
                'ordering': ['-made_at'],
            },
        ),
        migrations.CreateModel(
            name='MapPoint',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('speed_rpm', models.FloatField()),
                ('flow_kg_s', models.FloatField()),
                ('pressure_ratio', models.FloatField()),
                ('efficiency_ratio', models.FloatField()),
                ('turbo', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='map_points', to='sizing.turbo')),
            ],
            options={
                'ordering': ['speed_rpm', 'flow_kg_s'],
            },
        ),
        migrations.CreateModel(
            name='PlanInput',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=40)),
                ('low', models.FloatField()),
                ('high', models.FloatField()),
                ('origin', models.CharField(choices=[('measured', 'measured here'), ('book', 'plate or book'), ('told', 'told'), ('guessed', 'guessed')], max_length=10)),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='inputs', to='sizing.plan')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.UniqueConstraint(fields=('plan', 'name'), name='plan_input_once'), models.CheckConstraint(condition=models.Q(('low__lte', models.F('high'))), name='plan_input_low_below_high')],
            },
        ),
        migrations.CreateModel(
            name='PlanLimit',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=40)),
                ('value', models.FloatField()),
                ('source', models.CharField(max_length=160)),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='own_limits', to='sizing.plan')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.UniqueConstraint(fields=('plan', 'name'), name='plan_limit_once')],
            },
        ),
        migrations.CreateModel(
            name='BenchLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.CharField(choices=[('rated', 'at rated speed'), ('torque', 'at the speed of greatest torque')], max_length=8)),
                ('line', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(12)])),
                ('delivery_mm3', models.FloatField(validators=[django.core.validators.MinValueValidator(0.5), django.core.validators.MaxValueValidator(400.0)])),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='bench_lines', to='sizing.plan')),
                ('plunger', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sizing.plunger')),
            ],
            options={
                'ordering': ['at', 'line'],
                'constraints': [models.UniqueConstraint(fields=('plan', 'at', 'line'), name='bench_line_once')],
            },
        ),
        migrations.AddConstraint(
            model_name='plunger',
            constraint=models.UniqueConstraint(fields=('pump', 'diameter_mm'), name='plunger_once_a_pump'),
        ),
    ]
