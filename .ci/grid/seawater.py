"""Sea water against python3-gsw: TEOS-10 density and sound speed at an absolute salinity."""
import gsw

from ask import Largest, ask, finish

# Absolute salinity in g/kg, °C, sea pressure in dbar (above 101325 Pa).
states = [(s, t, p) for s in (0.5, 5, 10, 20, 30, 35.16504, 38, 42) for t in [x / 2 for x in range(0, 81)] for p in (0, 50, 100)]
answers = ask("fluid", [{"fluid": "seawater", "salinity_g_kg": s, "temperature_C": t, "pressure_Pa": 101325 + p * 1e4} for s, t, p in states])

density = Largest("density, sea water", "kg/m³", 0.02)
sound = Largest("sound speed, sea water", "m/s", 0.1)
for (s, t, p), a in zip(states, answers):
    where = f"{s:g} g/kg, {t:g} °C, {101325 + p * 1e4:g} Pa"
    density.add(a.get("density_kg_m3"), float(gsw.rho_t_exact(s, t, p)), where)
    sound.add(a.get("sound_speed_m_s"), float(gsw.sound_speed_t_exact(s, t, p)), where)

finish("python3-gsw " + gsw.__version__, [density, sound])
