-- Makes an Ardour session: noise from a seed, through the plugin, to the master.
-- Arguments: session folder, then one NAME=VALUE for each parameter to move.
local ID = "556E64657270696E4C6F774261737331" -- "UnderpinLowBass1"

local backend = AudioEngine:set_backend ("None (Dummy)", "", "")
backend:set_device_name ("Silence")
local session = create_session (arg[1], "bass", 48000)
local flags = ARDOUR.PresentationInfo.Flag.AudioBus
local order = ARDOUR.PresentationInfo.max_order
local route
for made in session:new_audio_route (2, 2, nil, 1, "bass", flags, order):iter () do route = made end

local noise = ARDOUR.LuaAPI.new_luaproc (session, "Underpin noise")
assert (not noise:isnil (), "the noise is not there")
local underpin = ARDOUR.LuaAPI.new_plugin (session, ID, ARDOUR.PluginType.VST3, "")
assert (not underpin:isnil (), "the plugin cannot be made")
assert (route:add_processor_by_index (noise, 0, nil, true) == 0)
assert (route:add_processor_by_index (underpin, 1, nil, true) == 0)

local plugin = underpin:to_insert ():plugin (0)
local places = {}
for place = 0, plugin:parameter_count () - 1 do
	local _, described = plugin:get_parameter_descriptor (place, ARDOUR.ParameterDescriptor ())
	places[described[2].label] = place
end
for i = 2, #arg do
	local name, value = arg[i]:match ("^(.*)=(.*)$")
	assert (places[name], "there is no parameter " .. name)
	assert (ARDOUR.LuaAPI.set_processor_param (underpin, places[name], tonumber (value)))
end

-- A VST3 plugin takes moved parameters with the next block of sound.
ARDOUR.LuaAPI.usleep (1000000)
session:save_state ("")
close_session ()
quit ()
