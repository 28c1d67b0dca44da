"""Every figure the bench is built on, each with where it comes from. SI unless the name says otherwise.

`from memory` is a figure of the trade or of a textbook that was not looked up; `assumption` is our own choice of a
car that could well exist. None was fitted to the knowledge table.
"""

from tests.bench.gas import area

AMBIENT_KPA = 101.325  # US Standard Atmosphere 1976, sea level
AMBIENT_K = 293.15  # assumption: a mild day

# Holes and hoses
CD = 0.61  # a sharp-edged hole; from memory, textbook value
CD_PIPE = 0.8  # a rounded mouth; from memory, textbook value
STORE_LEAK_M2 = area(8.62474e-3)  # a sound 2 litre store that falls from 20 to 15 inHg in a night, worked by hand

# Volumes, litres (assumption: pipes and parts of a two-litre car)
LITRES = {
    "inlet": 4.0,
    "charge": 8.0,
    "manifold": 4.0,
    "exhaust": 2.5,
    "crankcase": 8.0,
    "servo": 3.0,
    "signal": 0.05,
    "store": 2.0,
    "actuator": 0.03,
    "tee": 0.01,
    "gauge": 0.02,
    "sensor": 0.01,
    "return": 0.25,
    "pump": 0.2,
}
#: Temperature of each volume, K, held: charge air after the intercooler and exhaust differ, all else is ambient.
KELVIN = {"charge": 315.0, "manifold": 315.0, "exhaust": 1100.0, "crankcase": 330.0}  # assumption

# Engine
DISPLACEMENT_M3 = 2.0e-3  # assumption
FILLING = 0.82  # volumetric efficiency before exhaust left in the cylinder; from memory, 0.8 to 0.9
COMPRESSION = 9.5  # assumption
IDLE_RPM = 850.0  # assumption
INERTIA = 0.2  # kg m2, crankshaft and flywheel; assumption
HEAT_PER_AIR = 43.0e6 / 14.7  # J/kg of air at stoichiometric petrol; from memory
INDICATED = 0.30  # efficiency at idle; from memory, a quarter to a third
DRAG_NM = 23.5  # friction, pumping and accessories at standstill, extrapolated; assumption
DRAG_NM_PER_RPM = 0.010  # assumption
AIR_CONDITIONING_NM = 16.0  # 1.4 kW at idle speed; from memory, 1 to 2 kW
STOICHIOMETRIC = 14.7  # air to petrol by mass; from memory
LEAN_COST = 1.5  # torque lost = this times (lambda - 1)^2, so that it misfires near 1.8; assumption
RICH_COST = 0.6  # assumption
BLOW_BY = 0.012  # of engine air that passes the rings; from memory, about 1 %

# Idle control
SHUT_THROTTLE_M2 = 6.0e-6  # air past the shut plate, about two fifths of idle air; assumption
IDLE_AIR_M2 = 30.0e-6  # most the idle control can add; assumption
IDLE_GAIN = 0.00012  # share of idle air per rpm s; assumption
IDLE_PROPORTIONAL = 0.0006  # share of idle air per rpm; assumption
SPARK_AT_REST = 0.85  # torque kept in hand at idle; from memory, 10 to 20 %
SPARK_PER_RPM = 0.0015  # assumption
SPARK_LEAST = 0.60  # the most the ignition may be retarded; assumption
TRIM_LIMIT = 0.25  # from memory, common limit of fuel trims
TRIM_PER_S = 1.0  # assumption
REGULATOR_KPA = 300.0  # fuel pressure above its reference; from memory, common value

# Openings, m2
CHECK_LIFTS_KPA = 0.2  # a check valve stands fully open at this difference; assumption
FILTER_M2 = 1.4e-3  # 2.5 kPa at 110 g/s; from memory, a clean filter and its duct
OPEN_THROTTLE_M2 = CD_PIPE * area(60)
CRUISE_THROTTLE_M2 = 9.0e-5  # light load; assumption
PCV_M2 = CD * area(2.5)  # crankcase ventilation jet; from memory, 2 to 3 mm
NARROW_MM = {
    "boost_source": 2.0,
    "boost_bleed": 3.0,
    "vane_jet": 1.6,
    "purge": 2.5,
    "store_jet": 1.5,
}  # jets; from memory
DIVERTER_M2 = CD_PIPE * area(25)

# Turbocharger (petrol): three lines stand for a map
TURBO_INERTIA_J = 2800.0  # energy of the rotor at full boost, 30e-6 kg m2 at 130 000 rpm; from memory
HEAD_PER_J = 1.05e-4  # (pressure ratio at no flow)^(1/3.5) - 1 per joule of rotor; assumption
COMPRESSOR_M2 = 3.0e-4  # what its own passages let through; assumption
COMPRESSOR_EFFICIENCY = 0.70  # from memory
TURBINE_EFFICIENCY = 0.62  # from memory
TURBINE_M2 = 3.4e-4  # assumption: 3 bar before it with the wastegate shut
WASTEGATE_M2 = 2.8e-4  # assumption
ROTOR_LOSS_PER_S = 0.5  # bearings and windage, share of energy; assumption
SURGE_KG_S_PER_RATIO = 0.030  # surge line: flow below this times (ratio - 1) flutters; from memory, small turbochargers
CP_AIR, CP_EXHAUST = 1005.0, 1150.0  # J/(kg K); from memory

# Springs, kPa
WASTEGATE_CRACKS_KPA, WASTEGATE_RANGE_KPA = 22.0, 40.0  # from memory: 0.3 bar to crack on a road car
FLAP_SHARE = 0.03  # exhaust pressure lifts the flap a little; assumption
DIVERTER_SPRING_KPA, DIVERTER_RANGE_KPA = 25.0, 15.0  # from memory: 5 to 8 inHg opens it
DIVERTER_FACE = 0.3  # area of its seat to that of its diaphragm, 22 mm to 40 mm; from memory
# With a seat half as large as the diaphragm, boost alone would lift a valve that has lost its signal: no slow needle
# then, but boost a third short. Both kinds are on the road.
TARGET_BOOST_KPA = 90.0  # assumption
GUARD_KPA = 140.0  # boost at which the computer shuts the throttle; assumption
FLATTENED = 0.3  # of its area is left of a hose sucked flat; assumption

# Boost control
CONTROL_PROPORTIONAL, CONTROL_INTEGRAL = 0.002, 0.006  # share of duty per kPa, per kPa s; assumption
CONTROL_NEAR_KPA = 45.0  # it only learns this near its target; assumption
LEARNT_DUTY = 0.42  # where a run-in controller starts; assumption
VANE_PROPORTIONAL, VANE_INTEGRAL, VANE_DUTY = 0.005, 0.002, 0.65  # the same three for a diesel's vanes; assumption
VALVE_TIME_S = 0.05  # solenoid and flap follow within this; assumption

# Diesel
DIESEL_TARGET_KPA = 100.0  # assumption
VANES_OPEN_M2, VANES_SHUT_M2 = 3.6e-4, 1.3e-4  # assumption
VANES_CRACK_KPA, VANES_RANGE_KPA = 10.0, 60.0  # vacuum that starts and that ends the vanes' travel; from memory
PUMP_M3_S = 1.2e-3  # vacuum pump at idle; assumption
PUMP_BEST_KPA = 8.0  # deepest it pulls, absolute; from memory
DIESEL_EXHAUST_K = 850.0  # assumption
DIESEL_LEAST_LAMBDA = 1.30  # fuel is held to this by metered air; from memory, smoke limit 1.2 to 1.4

# Brakes
PRESS_M2, PRESS_S = 1.6e-5, 0.3  # a press lets about half a litre of air behind the diaphragm; assumption
HARD_PEDAL_KPA = 30.0  # vacuum left in the servo below which help is missed; from memory, about 9 inHg

# What an observer makes of it
BREATHES, BREATHES_HZ = 0.5, 0.7  # a split's area swings by half as the engine rocks on its mounts; assumption
WANDER_KPA = 0.6  # swing of the needle that is seen, standard deviation; assumption (a sixth of 1 inHg)
HUNTING_RPM = 25.0  # standard deviation; assumption
FAST_RPM = 120.0  # above the set idle; assumption
ROUGH_LAMBDA = 1.30  # leaner than this a cylinder misses; from memory, 1.3 to 1.5
RICH_LAMBDA = 0.75  # assumption
HISS_IDLE_KG_S, HISS_BOOST_KG_S = 1.0e-4, 5.0e-4  # heard beside the car, heard from the seat; assumption
HISS_KPA = 10.0  # across the hole, for a jet that sounds; assumption
STALLED_RPM = 400.0  # assumption
SMOKE_PETROL_LAMBDA = 0.72  # from memory
FULL_LOAD_LAMBDA = 0.85  # from memory
SMOKE_DIESEL_LAMBDA = 1.15  # from memory
FLUTTER_S = 0.25  # in surge for this long is heard; assumption
LOUDER_KG = 1.0e-3  # let out to the open on lift-off; assumption
ERRATIC_KPA = 4.0  # standard deviation of held boost; assumption, about 1/2 psi
