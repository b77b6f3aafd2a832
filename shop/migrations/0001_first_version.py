import django.contrib.auth.models
import django.contrib.auth.validators
import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import shop.workshop.models
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    # A database of the first version carries these names; to it this one is already applied.
    replaces = [
        ('shop', '0001_people_jobs_and_papers'),
        ('shop', '0002_form_posts'),
        ('shop', '0003_backups'),
    ]

    dependencies = [
        ('auth', '0012_alter_user_first_name_max_length'),
        ('sizing', '0001_first_version'),
    ]

    operations = [
        migrations.CreateModel(
            name='Customer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('phone', models.CharField(max_length=40)),
                ('language', models.CharField(blank=True, help_text='the language to call and write in', max_length=40)),
                ('note', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='FormPost',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=100, unique=True)),
                ('result_pk', models.BigIntegerField(null=True)),
                ('at', models.DateTimeField(auto_now_add=True)),
            ],
        ),
        migrations.CreateModel(
            name='Workshop',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80)),
                ('address', models.TextField(blank=True)),
                ('phone', models.CharField(blank=True, max_length=40)),
                ('altitude_m', models.FloatField(validators=[django.core.validators.MinValueValidator(-400), django.core.validators.MaxValueValidator(5500)], verbose_name='altitude above sea level, m')),
                ('time_zone', models.CharField(max_length=60, validators=[shop.workshop.models.zone_exists])),
                ('currency', models.CharField(help_text='as it stands on a quote, such as EUR', max_length=8)),
                ('pressure_unit', models.CharField(choices=[('kPa', 'kPa'), ('bar', 'bar'), ('psi', 'psi')], default='kPa', max_length=12)),
                ('temperature_unit', models.CharField(choices=[('°C', '°C'), ('°F', '°F')], default='°C', max_length=12)),
                ('power_unit', models.CharField(choices=[('kW', 'kW'), ('hp metric', 'hp metric'), ('hp imperial', 'hp imperial')], default='kW', max_length=12)),
                ('torque_unit', models.CharField(choices=[('Nm', 'Nm'), ('lbf·ft', 'lbf·ft')], default='Nm', max_length=12)),
                ('local_rules', models.TextField(blank=True, help_text='printed on the hand-over sheet: inspections, registration, emission rules, who must be told', verbose_name='what local law asks after a change to an engine')),
                ('is_demo', models.BooleanField(default=False, editable=False)),
                ('only_one', models.BooleanField(default=True, editable=False, unique=True)),
            ],
        ),
        migrations.CreateModel(
            name='Person',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('is_superuser', models.BooleanField(default=False, help_text='Designates that this user has all permissions without explicitly assigning them.', verbose_name='superuser status')),
                ('username', models.CharField(error_messages={'unique': 'A user with that username already exists.'}, help_text='Required. 150 characters or fewer. Letters, digits and @/./+/-/_ only.', max_length=150, unique=True, validators=[django.contrib.auth.validators.UnicodeUsernameValidator()], verbose_name='username')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='email address')),
                ('is_staff', models.BooleanField(default=False, help_text='Designates whether the user can log into this admin site.', verbose_name='staff status')),
                ('is_active', models.BooleanField(default=True, help_text='Designates whether this user should be treated as active. Unselect this instead of deleting accounts.', verbose_name='active')),
                ('date_joined', models.DateTimeField(default=django.utils.timezone.now, verbose_name='date joined')),
                ('full_name', models.CharField(blank=True, max_length=120)),
                ('groups', models.ManyToManyField(blank=True, help_text='The groups this user belongs to. A user will get all permissions granted to each of their groups.', related_name='user_set', related_query_name='user', to='auth.group', verbose_name='groups')),
                ('user_permissions', models.ManyToManyField(blank=True, help_text='Specific permissions for this user.', related_name='user_set', related_query_name='user', to='auth.permission', verbose_name='user permissions')),
            ],
            options={
                'verbose_name_plural': 'people',
                'ordering': ['username'],
            },
            managers=[
                ('objects', django.contrib.auth.models.UserManager()),
            ],
        ),
        migrations.CreateModel(
            name='Backup',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField(auto_now_add=True)),
                ('size_bytes', models.BigIntegerField()),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-at'],
            },
        ),
        migrations.CreateModel(
            name='JobCard',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(max_length=12, unique=True)),
                ('stage', models.CharField(choices=[('booked', 'booked'), ('surveyed', 'surveyed'), ('planned', 'planned'), ('agreed', 'agreed'), ('fitting', 'fitting'), ('proving', 'proving'), ('handed_over', 'handed over'), ('called_off', 'called off')], default='booked', max_length=12)),
                ('wish', models.TextField(verbose_name='what the customer wants')),
                ('budget', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True, validators=[django.core.validators.MinValueValidator(0)])),
                ('due_on', models.DateField(blank=True, null=True, verbose_name='due day')),
                ('meter_reading', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0)], verbose_name='meter reading on arrival')),
                ('opened_at', models.DateTimeField()),
                ('version', models.PositiveIntegerField(default=1)),
                ('opened_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-opened_at', '-pk'],
                'permissions': [('move_jobcard', 'Can move a job to its next stage'), ('override_jobcard', 'Can move a job past something missing'), ('fit_jobcard', 'Can record what was fitted and sign off safety'), ('hand_over_jobcard', 'Can hand a job over')],
            },
        ),
        migrations.CreateModel(
            name='HandOver',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('on', models.DateField()),
                ('meter_reading', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0)])),
                ('received_by', models.CharField(max_length=120, verbose_name='who took the vehicle')),
                ('note', models.TextField(blank=True)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='hand_over', to='shop.jobcard')),
            ],
        ),
        migrations.CreateModel(
            name='FollowUp',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('on', models.DateField()),
                ('way', models.CharField(choices=[('phone', 'phone call'), ('visit', 'visit'), ('message', 'message')], max_length=10)),
                ('meter_reading', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0)])),
                ('text', models.TextField(verbose_name='what was said or seen')),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='follow_ups', to='shop.jobcard')),
            ],
            options={
                'ordering': ['on', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='FittedPart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('text', models.CharField(max_length=160, verbose_name='part')),
                ('quantity', models.PositiveIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(1000)])),
                ('serial', models.CharField(blank=True, max_length=60, verbose_name='serial number')),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='fitted_parts', to='shop.jobcard')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Fitment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('turbo_serial', models.CharField(blank=True, max_length=60, verbose_name='turbo serial number')),
                ('plunger_diameter_mm', models.FloatField(validators=[django.core.validators.MinValueValidator(4), django.core.validators.MaxValueValidator(14)])),
                ('delivery_mm3', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(5), django.core.validators.MaxValueValidator(400)], verbose_name='full-load delivery on the bench, mm³/stroke')),
                ('note', models.TextField(blank=True)),
                ('at', models.DateTimeField()),
                ('air_cleaner', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sizing.aircleaner')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('cooler', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sizing.cooler')),
                ('pump', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sizing.pump')),
                ('turbo', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sizing.turbo')),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='fitments', to='shop.jobcard')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Failure',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('on', models.DateField()),
                ('part', models.CharField(choices=[('turbo_bearing', 'turbo bearing'), ('turbo_wheel', 'turbo wheel'), ('turbo_housing', 'turbo housing'), ('head_gasket', 'head gasket'), ('piston', 'piston or rings'), ('crank_bearing', 'crank bearing'), ('injector', 'injector'), ('pump', 'injection pump'), ('cooler', 'charge air cooler'), ('pipework', 'pipework or hose'), ('clutch', 'clutch or drivetrain'), ('other', 'something else')], max_length=16, verbose_name='what failed')),
                ('meter_reading', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0)])),
                ('cause', models.TextField(blank=True, help_text='leave empty while it is not known', verbose_name='cause found')),
                ('said_by', models.CharField(max_length=120, verbose_name='who says so')),
                ('ends_pairing', models.BooleanField(default=True, help_text='no, when the cause lies outside: an accident, wrong oil, an old fault', verbose_name='counts against the pairing of turbo and pump setting')),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='failures', to='shop.jobcard')),
            ],
            options={
                'ordering': ['on', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='JobPhoto',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('image', models.FileField(upload_to='photos/%Y/%m')),
                ('caption', models.CharField(blank=True, max_length=120)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='photos', to='shop.jobcard')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Quote',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField()),
                ('state', models.CharField(choices=[('draft', 'draft'), ('given', 'given'), ('agreed', 'agreed'), ('declined', 'declined'), ('replaced', 'replaced')], default='draft', max_length=10)),
                ('valid_until', models.DateField(blank=True, null=True)),
                ('terms', models.TextField(blank=True)),
                ('made_at', models.DateTimeField()),
                ('answered_at', models.DateTimeField(blank=True, null=True)),
                ('answered_by', models.CharField(blank=True, max_length=120, verbose_name='who agreed or declined for the customer')),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='quotes', to='shop.jobcard')),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='QuoteLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('part', 'part'), ('labour', 'labour'), ('outside', 'work outside')], max_length=10)),
                ('text', models.CharField(max_length=200)),
                ('quantity', models.DecimalField(decimal_places=2, default=1, max_digits=8, validators=[django.core.validators.MinValueValidator(Decimal('0.01')), django.core.validators.MaxValueValidator(100000)])),
                ('unit_price', models.DecimalField(decimal_places=2, max_digits=10, validators=[django.core.validators.MinValueValidator(0)])),
                ('quote', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='shop.quote')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='SafetySignOff',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('round', models.PositiveSmallIntegerField(default=1)),
                ('check_slug', models.CharField(max_length=40)),
                ('note', models.CharField(blank=True, max_length=200)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='sign_offs', to='shop.jobcard')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Survey',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('compression_low_bar', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(5), django.core.validators.MaxValueValidator(60)], verbose_name='compression, lowest cylinder, bar gauge')),
                ('compression_high_bar', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(5), django.core.validators.MaxValueValidator(60)], verbose_name='compression, highest cylinder, bar gauge')),
                ('blow_by_l_min', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(500)], verbose_name='blow-by, L/min')),
                ('oil_pressure_idle_kpa', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(1500)], verbose_name='oil pressure hot, at idle, kPa gauge')),
                ('oil_pressure_rated_kpa', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(1500)], verbose_name='oil pressure hot, at rated speed, kPa gauge')),
                ('oil_state', models.CharField(choices=[('unchecked', 'not checked'), ('good', 'good'), ('repair', 'needs repair'), ('bad', 'not fit')], default='unchecked', max_length=10, verbose_name='oil')),
                ('coolant_state', models.CharField(choices=[('unchecked', 'not checked'), ('good', 'good'), ('repair', 'needs repair'), ('bad', 'not fit')], default='unchecked', max_length=10, verbose_name='coolant')),
                ('filter_state', models.CharField(choices=[('unchecked', 'not checked'), ('good', 'good'), ('repair', 'needs repair'), ('bad', 'not fit')], default='unchecked', max_length=10, verbose_name='air, oil and fuel filters')),
                ('leak_state', models.CharField(choices=[('unchecked', 'not checked'), ('good', 'good'), ('repair', 'needs repair'), ('bad', 'not fit')], default='unchecked', max_length=10, verbose_name='leaks of oil, coolant, fuel and exhaust')),
                ('injector_state', models.CharField(choices=[('unchecked', 'not checked'), ('good', 'good'), ('repair', 'needs repair'), ('bad', 'not fit')], default='unchecked', max_length=10, verbose_name='injectors: opening pressure, spray, leak-back')),
                ('mount_state', models.CharField(choices=[('unchecked', 'not checked'), ('good', 'good'), ('repair', 'needs repair'), ('bad', 'not fit')], default='unchecked', max_length=10, verbose_name='engine and gearbox mounts')),
                ('clutch_state', models.CharField(choices=[('unchecked', 'not checked'), ('good', 'good'), ('repair', 'needs repair'), ('bad', 'not fit')], default='unchecked', max_length=10, verbose_name='clutch or coupling reserve')),
                ('cooling_state', models.CharField(choices=[('unchecked', 'not checked'), ('good', 'good'), ('repair', 'needs repair'), ('bad', 'not fit')], default='unchecked', max_length=10, verbose_name='cooling reserve: radiator, fan, thermostat')),
                ('oil_changed_on', models.DateField(blank=True, null=True, verbose_name='oil and oil filter changed on')),
                ('air_filter_changed_on', models.DateField(blank=True, null=True, verbose_name='air filter changed on')),
                ('fuel_filter_changed_on', models.DateField(blank=True, null=True, verbose_name='fuel filter changed on')),
                ('coolant_changed_on', models.DateField(blank=True, null=True, verbose_name='coolant changed on')),
                ('space_length_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(20), django.core.validators.MaxValueValidator(3000)], verbose_name='space for the turbo, length mm')),
                ('space_width_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(20), django.core.validators.MaxValueValidator(3000)], verbose_name='space for the turbo, width mm')),
                ('space_height_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(20), django.core.validators.MaxValueValidator(3000)], verbose_name='space for the turbo, height mm')),
                ('boost_tap', models.CharField(blank=True, help_text='some turbos and manifolds have no port', max_length=160, verbose_name='where boost can be tapped')),
                ('exhaust_temperature_tap', models.CharField(blank=True, max_length=160, verbose_name='where exhaust temperature can be tapped')),
                ('emission_equipment', models.CharField(blank=True, max_length=400, verbose_name='emission equipment as found')),
                ('note', models.TextField(blank=True)),
                ('verdict', models.CharField(choices=[('fit', 'fit'), ('repairs', 'fit after these repairs'), ('unfit', 'not fit')], max_length=10)),
                ('repairs', models.TextField(blank=True, verbose_name='repairs needed first, or why it is not fit')),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='surveys', to='shop.jobcard')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Vehicle',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('registration', models.CharField(max_length=40, verbose_name='registration or serial number')),
                ('make_and_model', models.CharField(max_length=120)),
                ('engine_name', models.CharField(blank=True, max_length=80, verbose_name='engine, as named on its plate')),
                ('year', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1920), django.core.validators.MaxValueValidator(2100)])),
                ('use', models.CharField(choices=[('road', 'road'), ('field', 'field'), ('boat', 'boat'), ('stationary', 'stationary')], max_length=12)),
                ('meter', models.CharField(choices=[('km', 'odometer, km'), ('h', 'hour meter, h'), ('none', 'no meter')], max_length=6)),
                ('customer', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='vehicles', to='shop.customer')),
            ],
            options={
                'ordering': ['registration'],
            },
        ),
        migrations.AddField(
            model_name='jobcard',
            name='vehicle',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='jobs', to='shop.vehicle'),
        ),
        migrations.CreateModel(
            name='EngineFact',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(choices=[('displacement_l', 'Displacement'), ('bore_mm', 'Bore'), ('stroke_mm', 'Stroke'), ('cylinder_count', 'Cylinders'), ('compression_ratio', 'Compression ratio'), ('injection', 'Injection'), ('rated_power_kw', 'Rated power'), ('rated_speed_rpm', 'Rated speed'), ('governed_speed_rpm', 'Governed speed, no load'), ('pump_kind', 'Injection pump'), ('governor_kind', 'Governor'), ('plunger_diameter_mm', 'Plunger diameter'), ('effective_stroke_mm', 'Effective plunger stroke'), ('delivery_mm3', 'Full-load delivery'), ('injection_pressure_bar', 'Injector opening pressure'), ('begin_of_injection_deg', 'Begin of injection'), ('emission_equipment', 'Emission equipment found')], max_length=40)),
                ('low', models.FloatField(blank=True, null=True)),
                ('high', models.FloatField(blank=True, null=True)),
                ('text', models.CharField(blank=True, max_length=400)),
                ('origin', models.CharField(choices=[('measured', 'measured here'), ('book', 'plate or book'), ('told', 'told'), ('guessed', 'guessed')], max_length=10)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('vehicle', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='facts', to='shop.vehicle')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='JobEvent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=24)),
                ('text', models.TextField()),
                ('from_stage', models.CharField(blank=True, max_length=12)),
                ('to_stage', models.CharField(blank=True, max_length=12)),
                ('override_reason', models.TextField(blank=True)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='events', to='shop.jobcard')),
            ],
            options={
                'ordering': ['at', 'pk'],
                'indexes': [models.Index(fields=['job', 'at'], name='shop_jobeve_job_id_47463d_idx')],
            },
        ),
        migrations.CreateModel(
            name='JobPlan',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('is_current', models.BooleanField(default=False)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='job_plans', to='shop.jobcard')),
                ('plan', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sizing.plan')),
            ],
            options={
                'ordering': ['position'],
                'constraints': [models.UniqueConstraint(fields=('job', 'position'), name='job_plan_position_once'), models.UniqueConstraint(condition=models.Q(('is_current', True)), fields=('job',), name='job_one_current_plan')],
            },
        ),
        migrations.AddConstraint(
            model_name='quote',
            constraint=models.UniqueConstraint(fields=('job', 'number'), name='quote_number_once_a_job'),
        ),
        migrations.AddConstraint(
            model_name='safetysignoff',
            constraint=models.UniqueConstraint(fields=('job', 'round', 'check_slug'), name='sign_off_once_a_round'),
        ),
        migrations.AddIndex(
            model_name='jobcard',
            index=models.Index(fields=['stage', 'due_on'], name='shop_jobcar_stage_03e987_idx'),
        ),
        migrations.AddIndex(
            model_name='enginefact',
            index=models.Index(fields=['vehicle', 'name', '-at'], name='shop_engine_vehicle_5f34cb_idx'),
        ),
        migrations.AddConstraint(
            model_name='enginefact',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('high__isnull', True), ('low__isnull', True)), ('low__lte', models.F('high')), _connector='OR'), name='engine_fact_low_below_high'),
        ),
    ]
